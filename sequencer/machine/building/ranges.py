"""Times that the author gave as a range, and which operations they are the time of."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.machine.schema.entries import MachineEntry, PartEntry, WasteEntry
from sequencer.machine.schema.joint_entry import JointEntry
from sequencer.quantities import RangedSeconds


def spreads_of(entry: MachineEntry) -> dict[str, Fraction]:
    """For each time that is a range, its upper end divided by its lower one.

    The key is the operation of the way in (``undo pulley/bolts``, ``remove pulley``) or, where the way back
    has a time of its own, that of the way back (``fasten pulley/bolts``, ``restore prop``, ``fill oil``).
    """
    return {name: time.spread for name, time in _times(entry) if isinstance(time, RangedSeconds)}


def _times(entry: MachineEntry) -> Iterator[tuple[str, Fraction | None]]:
    for name, task in (entry.tasks or {}).items():
        yield f"task {name}", task.time
        if task.undo is not None:
            yield f"restore {name}", task.time if task.undo.time is None else task.undo.time
    for name, fluid in (entry.fluids or {}).items():
        yield f"drain {name}", fluid.drain.time if fluid.drain else None
        if fluid.fill is not None and not isinstance(fluid.fill, WasteEntry):
            yield f"fill {name}", fluid.fill.time
    for name, part in entry.parts.items():
        yield from _of_part(name, part)


def _of_part(name: str, part: PartEntry) -> Iterator[tuple[str, Fraction | None]]:
    yield f"remove {name}", part.time
    yield f"loosen {name}", part.loose.time if part.loose else None
    yield f"move-aside {name}", part.aside.time if part.aside else None
    for joint, about in (part.joints or {}).items():
        yield from _of_joint(f"{name}/{joint}", about)


def _of_joint(path: str, joint: JointEntry) -> Iterator[tuple[str, Fraction | None]]:
    undone = joint.each if joint.time is None else joint.time
    yield f"undo {path}", undone
    yield f"fasten {path}", undone if joint.fit is None or joint.fit.time is None else joint.fit.time
    if joint.crack is not None:
        yield f"crack {path}", undone if joint.crack.time is None else joint.crack.time
