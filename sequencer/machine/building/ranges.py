"""Times that the author gave as a range, and which operations they are the time of."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.schema.entries import MachineEntry, PartEntry, WasteEntry
from sequencer.machine.schema.joint_entry import JointEntry
from sequencer.quantities import RangedSeconds


def spreads_of(entry: MachineEntry) -> dict[TimeOf, Fraction]:
    """For each time that is a range, its upper end divided by its lower one."""
    return {timed: time.spread for timed, time in _times(entry) if isinstance(time, RangedSeconds)}


def _times(entry: MachineEntry) -> Iterator[tuple[TimeOf, Fraction | None]]:
    for name, task in (entry.tasks or {}).items():
        yield TimeOf("task", name), task.time
        if task.undo is not None:
            yield TimeOf("restore", name), task.time if task.undo.time is None else task.undo.time
    for name, fluid in (entry.fluids or {}).items():
        yield TimeOf("drain", name), fluid.drain.time if fluid.drain else None
        if fluid.fill is not None and not isinstance(fluid.fill, WasteEntry):
            yield TimeOf("fill", name), fluid.fill.time
    for name, part in entry.parts.items():
        yield from _of_part(name, part)


def _of_part(name: str, part: PartEntry) -> Iterator[tuple[TimeOf, Fraction | None]]:
    yield TimeOf("remove", name), part.time
    yield TimeOf("loosen", name), part.loose.time if part.loose else None
    yield TimeOf("move-aside", name), part.aside.time if part.aside else None
    for joint, about in (part.joints or {}).items():
        yield from _of_joint(f"{name}/{joint}", about)


def _of_joint(path: str, joint: JointEntry) -> Iterator[tuple[TimeOf, Fraction | None]]:
    undone = joint.each if joint.time is None else joint.time
    yield TimeOf("undo", path), undone
    yield TimeOf("fasten", path), undone if joint.fit is None or joint.fit.time is None else joint.fit.time
    if joint.crack is not None:
        yield TimeOf("crack", path), undone if joint.crack.time is None else joint.crack.time
