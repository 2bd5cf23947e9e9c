"""Keys under which an entry of a machine file names what it goes with: fluids, tasks, parts, joints.

All that is known of one is in its row of ``data/links.toml``, whose head says what the fields mean; what the
program does about it is in the facts of a part or a task, and in ``graph/derive.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from sequencer.machine.trade.tables import table

FLUIDS, TASKS, PARTS, JOINTS = "fluids", "tasks", "parts", "joints"
"""What a link may name."""

SEALANT = "sealant"
"""A holder of links beside those that relations have."""


@dataclass(frozen=True)
class LinkKey:
    """A key that names what its entry goes with: see the head of the table."""

    key: str
    on: Sequence[str]
    names: str
    says: str
    needed: bool = False
    told: str = ""
    meant: Sequence[str] = ()
    remedy: str = ""

    def of(self, entry: object) -> list[Any]:
        """What an entry of a machine file names under it, as written."""
        return getattr(entry, self.key, None) or []


@cache
def links(holder: str | None = None) -> tuple[LinkKey, ...]:
    """All of them in the order of the table, or those that a part, joint, task or sealant may have."""
    rows = (LinkKey(**row) for row in table("links")["link"])
    return tuple(one for one in rows if holder is None or holder in one.on)


def link(holder: str, names: str) -> LinkKey:
    """The one by which a part, joint, task or sealant names fluids, tasks, parts or joints."""
    return next(one for one in links(holder) if one.names == names)
