"""Sealed: from the bead to the final torque, nothing is done but work on the part that it is on."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.graph.operations import Kind
from sequencer.graph.torque_waits import awaited
from sequencer.machine.model import Joint, Part, Sealing
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import PracticeWhile, Rule, RuleName

_BEFORE_A_PART = (Kind.MOVE_BACK, Kind.FIT, Kind.SEAT)
"""What a part's bead goes on directly before: the first of these that the job does."""


def sealed(job: PracticeJob) -> Iterator[Rule]:
    """At each part with a bead, and at each joint with one; the bead itself is put in afterwards."""
    if not job.back:
        return
    for part in job.parts():
        own = _own(job, part)
        start = next((n for kind in _BEFORE_A_PART if job.has(n := kind.of(part.name))), None)
        if part.sealing is not None and start is not None:
            ends = dict.fromkeys(end for joint in part.joints.values() if (end := end_of(job, joint)))
            yield from _rule(part.name, start, tuple(ends), own)
            yield from _before_filling(job, part.name, part.sealing, tuple(ends) or (start,))
        for joint in part.joints.values():
            fasten, end = job.undo(joint), end_of(job, joint)
            if joint.sealing is not None and job.has(fasten) and end is not None:
                yield from _rule(joint.path, fasten, (end,), own)
                yield from _before_filling(job, joint.path, joint.sealing, (end,))


def _rule(subject: str, start: str, ends: tuple[str, ...], own: frozenset[str]) -> Iterator[Rule]:
    whiles = (
        PracticeWhile(frozenset((start,)), frozenset((end,)), own).turned() for end in ends if end != start
    )
    if kept := tuple(whiles):
        yield Rule(RuleName.SEALED, subject, Kind.SEAL.of(subject), whiles=kept)


def _before_filling(
    job: PracticeJob, subject: str, sealing: Sealing, ends: tuple[str, ...]
) -> Iterator[Rule]:
    """A fluid that comes against the bead is filled after it, when it has cured."""
    for fluid in sealing.against:
        fill = Kind.FILL.of(fluid)
        if job.has(fill):
            yield Rule(RuleName.SEALED, subject, fill, tuple((fill, end) for end in ends))


def end_of(job: PracticeJob, joint: Joint) -> str | None:
    """The final torque; where that waits for something else, or there is none, the joint is snug."""
    torque = job.torque(joint)
    if job.has(torque) and not _waits(job, joint):
        return torque
    return next((n for n in (job.undo(joint), Kind.TIGHTEN.of(joint.path)) if job.has(n)), None)


def _waits(job: PracticeJob, joint: Joint) -> bool:
    """Whether the torque waits for more than its part: for what is back first, or the rest of a face."""
    holders = joint.crack.while_parts if joint.crack else ()
    if any(op.part in holders for op in job.graph.operations.values()):
        return True
    back = awaited(job.machine, joint, job.graph.operations)
    if any(job.operation(step).part != joint.part for step in back):
        return True
    return joint.face is not None and any(
        other.face == joint.face and other.part != joint.part and job.has(job.torque(other))
        for other in job.joints()
    )


def _own(job: PracticeJob, part: Part) -> frozenset[str]:
    """Work on a part: on it, on its joints, and at the helpers of these."""
    paths = {joint.path for joint in part.joints.values()}
    helpers = {t.name for t in job.machine.tasks.values() if t.steadies(paths)}
    return frozenset(
        name
        for name, op in job.graph.operations.items()
        if op.part == part.name or (op.kind in (Kind.TASK, Kind.RESTORE) and op.subject in helpers)
    )
