"""What a job has written on bags and labels, kept in its journal: on the shelf it stays as it was written.

Whatever the file or a table of the trade says later, a joint keeps its number and its mark: undone, put back
and undone again, it goes into the same bag. Each act keeps those that it came to and that no event had yet.
What came with an act that was taken back holds as long as the machine has that joint, and is free for
another one after that: a part that was told under a wrong name lies in the bag with that number.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from sequencer.graph.operations import Kind, Op
from sequencer.job.journal.state import JobState
from sequencer.machine.model import Machine

BAGS = "bags"
"""The key of a body that holds numbers of bags by joint; 0: it came undone and has none."""

MARKS = "marks"
"""The key of a body that holds marks of labels by joint; empty: it came undone and has none."""


def held(state: JobState, machine: Machine, key: str) -> dict[str, Any]:
    """What the journal has under ``BAGS`` or ``MARKS``, by joint.

    That a joint has none counts for the time that it was undone then, and for no other. A person may name a
    bag of their own: what was to go into one of that number gets another.
    """
    standing = {one.event.id for kept in state.kept.values() for one in kept}
    came = {one.event.id: one.seq for one in state.history}
    since = {tick.op.subject: came[tick.event] for tick in state.ticked if tick.op.kind is Kind.UNDO}
    undone = set(undone_joints(state.done))
    mine: dict[str, Any] = {}
    fallen: dict[str, Any] = {}
    for one in state.history:
        stands = one.event.id in standing
        for path, what in one.event.body.get(key, {}).items():
            if what or (stands and path in undone and one.seq >= since[path]):
                (mine if stands else fallen)[path] = what
    for path, what in reversed(fallen.items()):
        there = path in undone or machine.own_joint(path) is not None
        if there and path not in mine and what not in mine.values():
            mine[path] = what
    filled = {what for path, what in mine.items() if path in undone}
    return {path: what for path, what in mine.items() if path in undone or what not in filled}


def orders(state: JobState) -> Iterator[tuple[str, ...]]:
    """What each plan of the job undoes, the present one last, and then what was undone without any."""
    for plan in state.plans:
        yield tuple(str(op) for _, op in plan.event.body.get("steps", ()))
    yield state.done


def undone_joints(done: Iterable[str]) -> Iterator[str]:
    """The paths of the joints that come undone."""
    return (str(op.subject) for op in map(Op, done) if op.kind is Kind.UNDO)
