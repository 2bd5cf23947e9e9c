"""What should be let go first, where that costs nothing: the swing of a part, its spring, what holds a bolt.

This is no rule of the page: ``at_once`` arranges it among orders that keep the rules and cost the same. On
the way back it holds in reverse.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from sequencer.graph.operations import Kind
from sequencer.machine.model import Part
from sequencer.plan.practice.held import bears
from sequencer.plan.practice.ruled_job import PracticeJob

SPRING = "spring"
"""The kind of a joint that pulls at its part."""

TENSIONER = "tensioner"
"""The kind of a joint that tightens a belt or a chain."""

First = tuple[str, str, str]
"""What should come first in the order of taking apart, what after it, and what that is before anyhow."""


def firsts_of(job: PracticeJob) -> Iterator[First]:
    """All of it in a job."""
    for part in job.parts():
        yield from _swung(job, part)
        yield from _sprung(job, part)
        yield from _stretched(job, part)
        yield from _cracked(job, part)
        yield from _stood(job, part)


def _swung(job: PracticeJob, part: Part) -> Iterator[First]:
    """A part swings before its joints come out that were slackened for that."""
    swing, away = (Kind.SEAT if job.back else Kind.LOOSEN).of(part.name), job.remove(part.name)
    for name in part.loose.joints if part.loose and job.has(swing) and job.has(away) else ():
        if job.has(undo := job.undo(part.joints[name])):
            yield swing, undo, away


def _sprung(job: PracticeJob, part: Part) -> Iterator[First]:
    """A spring is let go before what bears its part."""
    if job.has(away := job.remove(part.name)):
        springs = [job.undo(joint) for joint in part.joints.values() if joint.kind == SPRING]
        borne = [job.undo(joint) for joint in part.joints.values() if bears(joint) and joint.kind != SPRING]
        for spring, undo in product(filter(job.has, springs), filter(job.has, borne)):
            yield spring, undo, away


def _stretched(job: PracticeJob, part: Part) -> Iterator[First]:
    """What clamps a tensioner is slack before it is let go: on the way back it is tight after the belt is."""
    slack, swing = (Kind.TIGHTEN, Kind.SEAT) if job.back else (Kind.SLACKEN, Kind.LOOSEN)
    names = part.loose.joints if part.loose and job.has(swing.of(part.name)) else ()
    tight = [slack.of(part.joints[name].path) for name in names if part.joints[name].kind == TENSIONER]
    clamps = [slack.of(part.joints[name].path) for name in names if bears(part.joints[name])]
    for clamp, tensioner in product(filter(job.has, clamps), filter(job.has, tight)):
        yield clamp, tensioner, swing.of(part.name)


def _cracked(job: PracticeJob, part: Part) -> Iterator[First]:
    """A cracked joint comes out once what holds it has let go, where that only swings or moves aside."""
    for joint in part.joints.values() if job.has(away := job.remove(part.name)) else ():
        undo = job.undo(joint)
        for name in joint.crack.while_parts if joint.crack and job.has(undo) else ():
            swing = (Kind.SEAT if job.back else Kind.LOOSEN).of(name)
            lets_go = next(filter(job.has, (swing, job.move_aside(name))), None)
            if lets_go and not job.has(job.remove(name)):
                yield lets_go, undo, away


def _stood(job: PracticeJob, part: Part) -> Iterator[First]:
    """What a torque waits for is set up before the joint: a van comes off its stands on its wheels."""
    away = job.remove(part.name)
    for joint in part.joints.values() if job.has(away) else ():
        undo = job.undo(joint)
        for section, name in joint.torque.when if joint.torque and job.has(undo) else ():
            stand = (Kind.RESTORE if job.back else Kind.TASK).of(name)
            if section == "tasks" and job.has(stand):
                yield stand, undo, away
