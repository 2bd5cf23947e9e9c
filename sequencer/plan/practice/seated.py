"""Seated: what locates a part comes apart after what bears or retains it, and goes together before."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.trade.kinds import Holds
from sequencer.plan.practice.ruled_job import PracticeJob, holds
from sequencer.plan.practice.rules import Dropped, Rule, RuleName, Why


def seated(job: PracticeJob) -> Iterator[Rule | Dropped]:
    """At each locating joint of a part that others bear or retain."""
    for part in job.parts():
        done = [joint for joint in part.joints.values() if job.has(job.undo(joint))]
        first = [joint for joint in done if holds(joint) in (Holds.BEARING, Holds.RETAINING)]
        for joint in done:
            if holds(joint) is not Holds.LOCATING:
                continue
            undo = job.undo(joint)
            orders = []
            for other in first:
                if job.waits(job.undo(other), undo):
                    yield Dropped(RuleName.SEATED, joint.path, undo, Why.WAITS, other.path)
                else:
                    orders.append((job.undo(other), undo))
            if orders:
                yield Rule(RuleName.SEATED, joint.path, undo, tuple(orders))
