"""Closing: covers, trays and hatches go on after the task that they would hide."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.graph.operations import Kind
from sequencer.plan.practice.job import Job
from sequencer.plan.practice.rules import Rule, RuleName


def closing(job: Job) -> Iterator[Rule]:
    """At each part that a task of the way back, or the undoing of a task, comes before."""
    for task in job.machine.tasks.values() if job.back else ():
        word = Kind.TASK if task.only_back else Kind.RESTORE
        step = f"{word.value} {task.name}"
        for part in task.back_before if job.has(step) else ():
            fit = job.remove(part) if job.has(job.remove(part)) else job.move_aside(part)
            if job.has(fit):
                yield Rule(RuleName.CLOSING, part, fit, ((fit, step),))
