"""What is in a person's toolbox, and what a job needs that is not."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from sequencer.torque.wrenches.wrench import Wrench

HAND = "hand"
"""The tool that is no tool, as machine files name it."""


@dataclass(frozen=True)
class Toolbox:
    """What a person owns; words are kept as ``plain_word`` and ``plain_head`` make them.

    Attributes:
        wrenches: Torque wrenches.
        sockets: Heads that there is a socket or bit for, by square drive.
        drives: Square drives that there is a ratchet or bar for.
        tools: Other tools, by the names that machine files use.
    """

    wrenches: tuple[Wrench, ...] = ()
    sockets: Mapping[str, frozenset[str]] = field(default_factory=dict)
    drives: frozenset[str] = frozenset()
    tools: frozenset[str] = frozenset()

    def drives_for(self, head: str) -> tuple[str, ...]:
        """Square drives that a socket or bit for ``head`` is owned in."""
        wanted = plain_head(head)
        return tuple(drive for drive, heads in self.sockets.items() if wanted in heads)

    def owns(self, tool: str, head: str | None = None) -> bool:
        """Whether a tool is in the box: by its name, or as a socket for its head with a drive to turn it."""
        if tool == HAND or plain_word(tool) in self.tools:
            return True
        if head is None:
            return False
        turned_by = self.drives | {wrench.drive for wrench in self.wrenches}
        return any(drive in turned_by for drive in self.drives_for(head))


def missing_tools(needed: Iterable[tuple[str, str | None]], toolbox: Toolbox) -> tuple[str, ...]:
    """Of the tools that a job needs, as (name, head or ``None``), those that the toolbox lacks."""
    return tuple(dict.fromkeys(name for name, head in needed if not toolbox.owns(name, head)))


def plain_word(text: str) -> str:
    """A tool's name as it is compared: lower case, hyphens for blanks."""
    return re.sub(r"[\s_-]+", "-", text.strip().casefold())


def plain_head(text: str) -> str:
    """A head or square drive as it is compared: ``13 mm`` is ``13``, ``1/2"`` is ``1/2 in``."""
    plain = " ".join(text.casefold().replace('"', " in").split())
    plain = re.sub(r"^(\d+(?:\.\d+)?) ?mm$", r"\1", plain)
    return re.sub(r"^((?:\d+ )?\d+/\d+) ?(?:in(?:ch)?)?$", r"\1 in", plain)
