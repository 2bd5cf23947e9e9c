"""Proof at the end: that a joint is tight before it is closed in, and that the machine runs."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.critic.rules.fluids import wet_of
from sequencer.machine.model import Task


def no_proof(case: Case) -> Iterator[Finding]:
    """A fluid whose joints are behind covers again before anybody has looked at them."""
    for fluid in case.machine.fluids.values():
        if fluid.fill is None or _proved(case, fluid.name):
            continue
        for part in case.parts:
            over = sorted(case.behind_off[part.name])
            covers = tuple(one for one in over if case.is_a("cover", case.machine.parts[one]))
            if covers and fluid.name in wet_of(case, part):
                yield finding(Code.NO_PROOF, Severity.COSTS, fluid, part=part.name, covers=covers)
                break


def no_first_run(case: Case) -> Iterator[Finding]:
    """A machine that gets its energy back, and that nobody tries."""
    if any(task.only_back for task in case.tasks) or any(_tries(case, task) for task in case.tasks):
        return
    for task in case.tasks:
        if task.undo is not None and case.is_a("energy", task):
            yield finding(Code.NO_FIRST_RUN, Severity.COSTS, task)
            return


def _tries(case: Case, task: Task) -> bool:
    """Whether something is tried or looked at when a task is undone."""
    return task.undo is not None and case.name_is_a("tries", task.undo.label)


def _proved(case: Case, fluid: str) -> bool:
    """Whether a task of the way back comes after the filling of a fluid."""
    return any(task.only_back and fluid in task.filled for task in case.tasks)
