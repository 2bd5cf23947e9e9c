"""The engine's door: a problem in, an order and a bound out."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.choice import Choice
from sequencer.engine.problem import Counters, Limits, Problem, Progress, Result, Status
from sequencer.engine.stop import Budget
from sequencer.engine.validate import check, check_limits, check_order


def solve(
    problem: Problem,
    limits: Limits | None = None,
    progress: Progress | None = None,
    warm: Sequence[int] | None = None,
) -> Result:
    """Choose operations and order them at the least cost.

    The answer is the same for the same arguments, unless ``limits.seconds`` comes first. An interruption from
    the keyboard ends the search like a limit: the best order known is returned with its bound.

    Args:
        problem: What is asked.
        limits: When to stop before the proof is complete.
        progress: Called with (best cost, bound) whenever either improves.
        warm: An order that may be a good start, for example a former answer; ignored where it isn't valid.

    Raises:
        ProblemError: The problem's numbers don't fit together.
        KeyboardInterrupt: Interrupted before any order was known.
    """
    limits = limits or Limits()
    check(problem)
    check_limits(limits)
    if warm is not None:
        check_order(problem, warm)
    budget = Budget(limits)
    search = Choice(problem, budget, progress)
    try:
        search.run(warm)
    except KeyboardInterrupt:
        if search.answer.order is None:
            raise
    return _result(search, budget)


def _result(search: Choice, budget: Budget) -> Result:
    counters = Counters(states=budget.states, choices=budget.choices)
    answer = search.answer
    if answer.order is None:
        return Result(Status.IMPOSSIBLE, (), 0, 0, counters)
    status = Status.PROVEN if answer.bound >= answer.cost else Status.BEST_KNOWN
    return Result(status, answer.order, answer.cost, min(answer.bound, answer.cost), counters)
