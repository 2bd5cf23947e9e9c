"""Hold: between the last joint of a part that would hang and its coming away, nothing else is done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.graph.operations import Kind
from sequencer.machine.model import Joint, Part
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.practice.ruled_job import PracticeJob, holds
from sequencer.plan.practice.rules import Dropped, PracticeWhile, Rule, RuleName, Why

HEAVY_KG = 3
"""From this weight up somebody has to hold a part that nothing else holds (the format page)."""

LAST = (Holds.LOCATING, Holds.BEARING, Holds.RETAINING)
"""What is left for the last, the best first."""


def hold(job: PracticeJob) -> Iterator[Rule | Dropped]:
    """At each part that has to be held.

    A part moved aside is tied there, so that nothing more is asked when it is removed.
    """
    for part in job.parts():
        aside, remove = job.move_aside(part.name), job.remove(part.name)
        if part.aside is not None and job.has(aside):
            joints = [part.joints[name] for name in part.aside.joints]
            away = aside
        elif job.has(remove):
            joints, away = list(part.joints.values()), remove
        else:
            continue
        if to_be_held(job, part, joints if away == aside else ()):
            yield from _of(job, part, away, joints)


def to_be_held(job: PracticeJob, part: Part, undone_aside: Sequence[Joint]) -> bool:
    """Whether somebody has to hold the part once nothing else does; what the file says comes first."""
    if part.hold is not None:
        return part.hold
    carried = any(part.name in task.load for task in job.machine.tasks.values())
    if carried or part.mount is not None:
        return False
    return (part.weight_kg or 0) >= HEAVY_KG or any(holds(joint) is Holds.BEARING for joint in undone_aside)


def _of(job: PracticeJob, part: Part, away: str, joints: Sequence[Joint]) -> Iterator[Rule | Dropped]:
    undone = [joint for joint in joints if job.has(job.undo(joint))]
    if not undone:
        return
    last = candidates(job, away, undone)
    if not last or (holds(last[0]) is Holds.SLIGHT and any(holds(j) is not Holds.SLIGHT for j in joints)):
        yield Dropped(RuleName.HOLD, part.name, away, Why.SLIGHT)
        return
    after = frozenset(job.undo(joint) for joint in last)
    only = frozenset(_between(job, last))
    orders: tuple[tuple[str, str], ...] = ()
    if len(last) == 1:  # all else that the part waits for comes before that joint
        undo = job.undo(last[0])
        waited = (name for name in job.operations if name != undo and job.waits(away, name))
        orders = tuple((name, undo) for name in waited if name not in only)
    yield Rule(RuleName.HOLD, part.name, away, orders, (PracticeWhile(after, frozenset((away,)), only),))


def candidates(job: PracticeJob, away: str, undone: Sequence[Joint]) -> list[Joint]:
    """The joints of which one is the last: of those that nothing waits for, the ones that hold the part."""

    def waited_for(joint: Joint) -> bool:
        waiting = job.waiting_for(job.undo(joint))
        return any(other in waiting and job.waits(away, other) for other in waiting if other != away)

    free = [joint for joint in undone if not waited_for(joint)]
    for how in LAST:
        found = [joint for joint in free if holds(joint) is how]
        if found:
            break
    else:
        found = free
    here = job.operation(away).position
    own = [joint for joint in found if job.operation(job.undo(joint)).position == here]
    return own or found


def _between(job: PracticeJob, last: Sequence[Joint]) -> Iterator[str]:
    """What may come between: taking off a task that serves the joint, and its bead on the way back."""
    paths = {joint.path for joint in last}
    for name, operation in job.graph.operations.items():
        if operation.kind in (Kind.TASK, Kind.RESTORE):
            if job.machine.tasks[operation.subject].steadies(paths):
                yield name
        elif operation.kind is Kind.SEAL and operation.subject in paths:
            yield name
