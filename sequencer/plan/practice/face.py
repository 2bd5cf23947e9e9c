"""Face: what clamps one face is torqued as one set, and what only steadies a part after that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

from sequencer.graph.operations import Kind
from sequencer.machine.model import Joint
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Dropped, PracticeWhile, Rule, RuleName, Why, orders_of


def settle(job: PracticeJob) -> Iterator[Rule | Dropped]:
    """At each joint that only steadies its part: torqued after the others of its part and of its face."""
    for joint in job.joints():
        if joint.settle and job.has(job.torque(joint)):
            yield from _settles(job, joint)


def face(job: PracticeJob, before: Sequence[Rule]) -> Iterator[Rule]:
    """At each joint of a face, and at each face; ``before`` are the rules that are kept before it."""
    kept = orders_of(before)
    faces: dict[str, list[Joint]] = {}
    for joint in job.joints():
        if joint.face is not None and (job.has(job.torque(joint)) or _fastening(job, joint)):
            faces.setdefault(joint.face, []).append(joint)
    for name, joints in faces.items():
        yield from _face(job, name, joints, kept)


def _face(
    job: PracticeJob, name: str, joints: Sequence[Joint], kept: Sequence[tuple[str, str]]
) -> Iterator[Rule]:
    """All in by hand before one is torqued, and then one after the other.

    What the part of another closes off is torqued before that, alone.
    """
    fastened = {joint: _fastening(job, joint) for joint in joints}
    members = [
        joint
        for joint in joints
        if job.has(job.torque(joint))
        and not any(
            fasten and other is not joint and job.waits(job.torque(joint), fasten)
            for other, fasten in fastened.items()
        )
    ]
    for joint in members:
        torque = job.torque(joint)
        others = (fasten for other, fasten in fastened.items() if fasten and other is not joint)
        if orders := tuple((torque, fasten) for fasten in others):
            yield Rule(RuleName.FACE, joint.path, torque, orders)
    torques = [job.torque(joint) for joint in members]
    if len(torques) > 1:
        whiles = (
            PracticeWhile(frozenset((a,)), frozenset((b,)), frozenset(torques))
            for a, b in permutations(torques, 2)
        )
        # spelt out, so that it is known when the set could be begun
        waited = {after for torque in torques for after in _waited_for(job, torque)}
        waited |= {after for torque, after in kept if torque in torques}
        waited.difference_update(torques)
        orders = tuple((torque, after) for torque in torques for after in sorted(waited))
        yield Rule(RuleName.FACE, name, torques[-1], orders, tuple(whiles))


def sets_of(rules: Sequence[Rule]) -> tuple[frozenset[str], ...]:
    """The torques that are given one after the other, of each face whose rule is among these."""
    return tuple(
        frozenset(name for w in rule.whiles for name in (*w.after, *w.until))
        for rule in rules
        if rule.name is RuleName.FACE and rule.whiles
    )


def _fastening(job: PracticeJob, joint: Joint) -> str | None:
    names = (job.undo(joint), Kind.TIGHTEN.of(joint.path))
    return next((name for name in names if job.has(name)), None)


def _waited_for(job: PracticeJob, torque: str) -> Iterator[str]:
    """What a torque waits for, in the order of work, by what is said of it."""
    return (other for other, clause in job.clauses_on(torque) if set(clause.any_of) == {torque})


def _settles(job: PracticeJob, joint: Joint) -> Iterator[Rule | Dropped]:
    torque = job.torque(joint)
    orders = []
    for other in job.joints():
        before = job.torque(other)
        beside = other.part == joint.part or (joint.face is not None and other.face == joint.face)
        if not beside or other.settle or not job.has(before):
            continue
        if job.waits(torque, before):
            yield Dropped(RuleName.FACE, joint.path, torque, Why.WAITS, other.path)
        else:
            orders.append((torque, before))
    if orders:
        yield Rule(RuleName.FACE, joint.path, torque, tuple(orders))
