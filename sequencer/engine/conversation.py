"""One question after another about the same job, each quicker for what the ones before have told.

    first = ask(problem)
    more = first.again(replace(problem, goals=(*problem.goals, (7,))))

What is reused is only what stays true (see ``relation`` and ``memory``), so that every answer is worth what a
fresh one is. How much work it takes, and which of several equal orders comes out, depends on what was asked
before; the same conversation always goes the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sequencer.engine.choice.choice import Choice
from sequencer.engine.gaps.ordering import Ordering
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Counters, Limits, Problem, Progress, Result, Status
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.validate import check, check_limits, check_order


@dataclass(frozen=True)
class Conversation:
    """A problem with its answer, which can be asked again with something changed."""

    problem: Problem
    result: Result
    _memory: Memory = field(repr=False, compare=False)

    def again(
        self, problem: Problem | None = None, limits: Limits | None = None, progress: Progress | None = None
    ) -> Conversation:
        """Ask about ``problem``, or about the same one under other limits.

        Any problem will do; it reuses what it can.

        Raises:
            ProblemError: The problem's numbers don't fit together.
            KeyboardInterrupt: Interrupted before any order was known.
        """
        problem = self.problem if problem is None else problem
        known = [op for op in self.result.order if op < len(problem.durations)]
        return _asked(problem, limits, progress, None, known, self._memory)


def ask(
    problem: Problem,
    limits: Limits | None = None,
    progress: Progress | None = None,
    warm: Sequence[int] | None = None,
) -> Conversation:
    """Begin a conversation; arguments and errors are those of ``solve``."""
    return _asked(problem, limits, progress, warm, (), Memory())


def _asked(
    problem: Problem,
    limits: Limits | None,
    progress: Progress | None,
    warm: Sequence[int] | None,
    former: Sequence[int],
    memory: Memory,
) -> Conversation:
    limits = limits or Limits()
    check(problem)
    check_limits(limits)
    if warm is not None:
        check_order(problem, warm)
    known = memory.answers.get(problem)
    if known is not None:
        if _good_enough(known, limits):
            return Conversation(problem, Result(known.status, known.order, known.cost, known.bound), memory)
        former = known.order
    if memory.rules_out(problem):
        result = Result(Status.IMPOSSIBLE, (), 0, 0)
    else:
        result = _searched(problem, limits, progress, warm, former, memory)
    if result.status is not Status.UNKNOWN:
        memory.keep(problem, result)
        result = memory.answers[problem]
    return Conversation(problem, result, memory)


def _good_enough(known: Result, limits: Limits) -> bool:
    return known.status is not Status.BEST_KNOWN or (
        limits.gap > 0 and close_enough(known.cost, known.bound, limits.gap)
    )


def _searched(
    problem: Problem,
    limits: Limits,
    progress: Progress | None,
    warm: Sequence[int] | None,
    former: Sequence[int],
    memory: Memory,
) -> Result:
    budget = Budget(limits)
    search: Choice | Ordering
    if problem.whiles or problem.stays:
        search = Ordering(problem, budget, progress, memory)
    else:
        search = Choice(problem, budget, progress, memory)
    try:
        search.run(warm, former)
    except KeyboardInterrupt:
        if search.answer.order is None:
            raise
    counters = Counters(states=budget.states, choices=budget.choices)
    answer = search.answer
    if answer.order is None:
        if search.possible:
            return Result(Status.UNKNOWN, (), 0, answer.bound, counters)
        return Result(Status.IMPOSSIBLE, (), 0, 0, counters)
    status = Status.PROVEN if answer.bound >= answer.cost else Status.BEST_KNOWN
    return Result(status, answer.order, answer.cost, min(answer.bound, answer.cost), counters)
