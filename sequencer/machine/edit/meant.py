"""What a text means: what stands in it once for several, and what it includes, written out."""

from __future__ import annotations

import copy
import itertools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from sequencer.machine.edit.expected import same
from sequencer.machine.edit.layout import Layout
from sequencer.machine.faults import Faults, quote
from sequencer.machine.reader.merge import difference, in_full
from sequencer.machine.reader.repeat import WrittenOut
from sequencer.machine.reader.repeat_marks import REPEAT
from sequencer.machine.reader.yaml_tree import Path, compose
from sequencer.machine.schema.include_entry import INCLUDE
from sequencer.machine.written_out import whole


def meaning(layout: Layout, name: str, folder: FilePath | None) -> WrittenOut | None:
    """What a text says with everything written out; ``None`` where it says it so already, or has faults.

    Files that it includes lie in ``folder``.
    """
    if all(layout.node((key,)) is None for key in (REPEAT, INCLUDE)):
        return None
    faults = Faults()
    written = whole(compose(layout.text, name, faults), faults, folder)
    return None if faults.fatal else written


def lookup(data: Any, path: Path) -> tuple[bool, Any]:  # noqa: ANN401 - whatever is there
    """Whether there is something at ``path``, and what."""
    for step in path:
        steps = range(len(data)) if isinstance(data, list) else data if isinstance(data, dict) else ()
        if step not in steps:
            return False, None
        data = data[step]
    return True, data


@dataclass(frozen=True)
class Beside:
    """How one of several is changed beside the text that they come from.

    Attributes:
        at: The path of what is written.
        new: What is written there.
        gone: Nothing is: what stands there goes.
        wanted: What the whole text is to mean then.
        after: The name that a new entry goes behind; ``None``: it is the last.
        kept: What stays as it is, for messages.
    """

    at: Path
    new: object
    gone: bool
    wanted: object
    after: str | None
    kept: str


def beside(written: WrittenOut, where: Path, change: Callable[[Any], None]) -> Beside | None:
    """How to say ``change`` of what is at ``where`` for this one alone; ``None`` where that can't be said."""
    origin = written.origins[where[:2]]
    wanted = copy.deepcopy(written.tree.data)
    try:
        change(wanted)
    except (TypeError, KeyError, IndexError):
        return None
    at = tuple(itertools.takewhile(lambda step: isinstance(step, str), where))  # a list is written whole
    is_there, value = lookup(wanted, at)
    was_there, former = lookup(origin.base, at[2:])
    new = difference(former, value, at[-1]) if is_there and was_there else value
    after = str(origin.path[1]) if origin.path else None
    kept = f"`{quote(after)}`" if after else f"the assembly `{quote(origin.assembly)}`"
    gone = not is_there and not was_there
    return None if len(at) == 2 else Beside(at, new, gone, wanted, after, kept)


def alike(one: Any, other: Any, key: str | int = "") -> bool:  # noqa: ANN401
    """Whether two texts mean the same: as ``same``, and what is written short is the same in full."""
    if isinstance(one, dict) != isinstance(other, dict):
        one, other = in_full(key, one), in_full(key, other)
    if not isinstance(one, dict) or not isinstance(other, dict):
        return same(one, other)
    return one.keys() == other.keys() and all(alike(one[step], other[step], step) for step in one)
