"""The same problem with something changed: one target more, one need less, some of it done.

Plain functions from problem to problem; each leaves everything that it doesn't name as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from sequencer.engine.errors import ProblemError
from sequencer.engine.problem import Clause, Problem


def with_goal(problem: Problem, goal: Clause) -> Problem:
    """One target more: at the end one of ``goal`` is done."""
    return replace(problem, goals=(*problem.goals, tuple(goal)))


def without_goal(problem: Problem, goal: Clause) -> Problem:
    """One target less.

    Raises:
        ProblemError: It is none of the goals.
    """
    return replace(problem, goals=_without(problem.goals, tuple(goal), "goals"))


def with_need(problem: Problem, op: int, need: Clause) -> Problem:
    """One need more: one of ``need`` is done before ``op``."""
    return _needing(problem, op, (*_needs(problem, op), tuple(need)))


def without_need(problem: Problem, op: int, need: Clause) -> Problem:
    """One need less.

    Raises:
        ProblemError: ``op`` has no such need.
    """
    return _needing(problem, op, _without(_needs(problem, op), tuple(need), f"needs[{op}]"))


def with_done(problem: Problem, done: Iterable[int], setup: int | None = None) -> Problem:
    """Some operations more are done, and ``setup`` is the one in hand; None: the start is as it was.

    Raises:
        ProblemError: There is no such set-up.
    """
    if setup is not None and not 0 <= setup < len(problem.starts):
        raise ProblemError(f"the set-up in hand is {setup}; set-ups are 0 to {len(problem.starts) - 1}")
    starts = problem.starts if setup is None else problem.changes[setup]
    return replace(problem, done=problem.done | frozenset(done), starts=starts)


def _needs(problem: Problem, op: int) -> tuple[Clause, ...]:
    if not 0 <= op < len(problem.needs):
        raise ProblemError(f"there is no operation {op}; operations are 0 to {len(problem.needs) - 1}")
    return problem.needs[op]


def _needing(problem: Problem, op: int, needs: tuple[Clause, ...]) -> Problem:
    return replace(problem, needs=(*problem.needs[:op], needs, *problem.needs[op + 1 :]))


def _without(clauses: Sequence[Clause], clause: Clause, where: str) -> tuple[Clause, ...]:
    for number, known in enumerate(clauses):
        if set(known) == set(clause):
            return (*clauses[:number], *clauses[number + 1 :])
    raise ProblemError(f"{where} has no clause {clause}")
