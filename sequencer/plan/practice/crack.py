"""Crack: cracked is not undone. What was broken loose under a load is undone when the load is off."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Dropped, Rule, RuleName, Why


def crack(job: PracticeJob) -> Iterator[Rule | Dropped]:
    """At each joint that is cracked: undone after what held it is off; on the way back fastened before."""
    for joint in job.joints():
        undo = job.undo(joint)
        if joint.crack is None or not job.has(undo):
            continue
        orders: list[tuple[str, str]] = []
        torque = job.torque(joint)
        for part in dict.fromkeys(joint.crack.while_parts):
            off = job.remove(part)
            if not job.has(off):
                continue
            if job.waits(off, undo):
                yield Dropped(RuleName.CRACK, joint.path, undo, Why.WAITS, part)
                continue
            orders.append((off, undo))
            if job.has(torque):
                orders.append((torque, off))
        if orders:
            yield Rule(RuleName.CRACK, joint.path, undo, tuple(orders))
