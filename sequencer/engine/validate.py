"""Checks a problem's numbers before anything is computed from them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain

from sequencer.engine.errors import ProblemError
from sequencer.engine.problem import Limits, Problem


def check(problem: Problem) -> None:
    """Refuse a problem whose sizes, indices or costs don't fit together.

    Raises:
        ProblemError: The field, the index and what is wrong with it.
    """
    n, m = len(problem.durations), len(problem.starts)
    _sizes(problem, n, m)
    _costs(problem, m)
    for op, setup in enumerate(problem.setups):
        if not 0 <= setup < m:
            raise ProblemError(f"setups[{op}] is {setup}; set-ups are 0 to {m - 1}")
    _operations(f"done is {sorted(problem.done)}", problem.done, n)
    for number, clause in enumerate(problem.goals):
        _operations(f"goals[{number}] is {clause}", clause, n)
    for op, clauses in enumerate(problem.needs):
        for clause in clauses:
            _operations(f"needs[{op}] has {clause}", clause, n)
    for pair in problem.orders:
        _operations(f"orders has {pair}", pair, n)
    for trigger in problem.triggers:
        sides = chain(trigger.left, trigger.right, *trigger.also)
        _operations(f"triggers has {trigger}", (*sides, trigger.then), n)
    _savings(problem, n)
    if problem.whiles or problem.stays:
        _gaps(problem, n, m)


def check_order(problem: Problem, order: Sequence[int]) -> None:
    """Refuse a starting order that names operations that don't exist, or one twice.

    Raises:
        ProblemError: What is wrong with it.
    """
    _operations("the starting order", order, len(problem.durations))
    if len(set(order)) != len(order):
        raise ProblemError("the starting order names an operation twice")


def check_limits(limits: Limits) -> None:
    """Refuse limits that can't be kept.

    Raises:
        ProblemError: Which limit, and its range.
    """
    check_ranges(limits.gap, states=limits.states, seconds=limits.seconds)
    if limits.memory_states < 1:
        raise ProblemError(f"memory_states is {limits.memory_states}; at least one state is kept")


def check_ranges(gap: float, **most: float | None) -> None:
    """Refuse a gap that is no share, and limits below 0; None is no limit.

    Raises:
        ProblemError: Which, and its range.
    """
    for name, value in most.items():
        if value is not None and value < 0:
            raise ProblemError(f"{name} is {value}; it is 0 or more, or None")
    if not 0 <= gap <= 1:
        raise ProblemError(f"gap is {gap}; it lies between 0 and 1")


def _sizes(problem: Problem, n: int, m: int) -> None:
    for name, rows, size in (
        ("setups", problem.setups, n),
        ("needs", problem.needs, n),
        ("changes", problem.changes, m),
    ):
        if len(rows) != size:
            raise ProblemError(f"{name} has {len(rows)} entries instead of {size}")
    for number, row in enumerate(problem.changes):
        if len(row) != m:
            raise ProblemError(f"changes[{number}] has {len(row)} entries instead of {m}")


def _costs(problem: Problem, m: int) -> None:
    _not_negative("durations", problem.durations)
    _not_negative("starts", problem.starts)
    for number, row in enumerate(problem.changes):
        _not_negative(f"changes[{number}]", row)
    for number in range(m):
        if problem.changes[number][number]:
            raise ProblemError(
                f"changes[{number}][{number}] is {problem.changes[number][number]} instead of 0"
            )


def _savings(problem: Problem, n: int) -> None:
    for saving in problem.savings:
        _operations(f"savings has {saving}", (saving.first, saving.second), n)
        most = min(problem.durations[saving.first], problem.durations[saving.second])
        if not 0 <= saving.amount <= most or saving.first == saving.second:
            raise ProblemError(f"{saving} has to save between 0 and {most}, on two operations")


def _gaps(problem: Problem, n: int, m: int) -> None:
    for rule in problem.whiles:
        _operations(f"{rule} is given", (*rule.after, *rule.until, *rule.only), n)
    for stay in problem.stays:
        _operations(f"{stay} is given", (*stay.after, *stay.until), n)
        for setup in stay.leaving | stay.entering:
            if not 0 <= setup < m:
                raise ProblemError(f"{stay} is given; set-ups are 0 to {m - 1}")
    fixed = problem.done | {goal[0] for goal in problem.goals if len(goal) == 1}
    for op in range(n):
        if op not in fixed:
            raise ProblemError(
                f"whiles and stays ask for every operation to be done or a goal of its own; {op} is neither"
            )


def _operations(where: str, operations: Iterable[int], n: int) -> None:
    for op in operations:
        if not 0 <= op < n:
            raise ProblemError(f"{where}, but operations are 0 to {n - 1}")


def _not_negative(name: str, values: Sequence[int]) -> None:
    for number, value in enumerate(values):
        if value < 0:
            raise ProblemError(f"{name}[{number}] is {value}; costs are not negative")
