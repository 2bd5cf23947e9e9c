"""Closing: covers, trays and hatches go on after the task that they would hide, what they hide before it."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.graph.operations import Kind, Op
from sequencer.machine.model import Task
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Rule, RuleName


def closing(job: PracticeJob) -> Iterator[Rule]:
    """At each part that a task of the way back, or the undoing of a task, comes before."""
    for task in job.machine.tasks.values() if job.back else ():
        word = Kind.TASK if task.only_back else Kind.RESTORE
        step = word.of(task.name)
        for part in task.back_before if job.has(step) else ():
            fit = job.remove(part) if job.has(job.remove(part)) else job.move_aside(part)
            if job.has(fit):
                yield Rule(RuleName.CLOSING, part, fit, ((fit, step),))
        if task.only_back and job.has(step) and (hidden := tuple(_hidden(job, task, step))):
            yield Rule(RuleName.CLOSING, task.name, step, tuple((step, name) for name in hidden))


def _hidden(job: PracticeJob, task: Task, step: str) -> Iterator[str]:
    """What has to be back before that which goes on after the task, and does not wait for the task itself.

    A run, a test, a setting at an open cover is of what is below it: none of that is missing by then. One
    cover below another is not of it, nor what bears a cover while it goes on.
    """
    bears = {Kind.TASK.of(other.name) for other in job.machine.tasks.values() if other.load}
    parts = (*task.back_before, *(atom.part for need in task.waits for atom in need.any_of))
    fits = [fit for part in parts for fit in (job.remove(part), job.move_aside(part)) if job.has(fit)]
    covers = [fit for fit in fits if Op(fit).subject in task.back_before or job.waits(step, fit)]
    for name in job.operations:
        ours = name not in {step, *bears} and Op(name).part not in task.back_before
        if ours and not job.waits(step, name) and any(job.waits(name, fit) for fit in covers):
            yield name
