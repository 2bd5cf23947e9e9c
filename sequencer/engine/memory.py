"""What stays true from one question to the next: answers, prices.

Everything kept here holds whatever is asked: an answer for its very problem; prices for every job with the
same changes and no set-up that they were not made for.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sequencer.engine.base.costs import Costs, Matrix
from sequencer.engine.problem import Problem, Result
from sequencer.engine.relation import floor, rules_out

if TYPE_CHECKING:
    from collections.abc import Collection

    from sequencer.engine.bounds.cuts import DualPrices

MOST_ANSWERS = 200
"""Answers held against a new problem, the latest."""


@dataclass
class Memory:
    """Shared by all questions of one conversation."""

    answers: dict[Problem, Result] = field(default_factory=dict)
    _prices: dict[Matrix, DualPrices] = field(default_factory=dict)

    def keep(self, problem: Problem, result: Result) -> None:
        """Remember an answer; a better one replaces it."""
        known = self.answers.pop(problem, None)
        if known is not None and (known.cost - known.bound) < (result.cost - result.bound):
            result = known
        self.answers[problem] = result
        while len(self.answers) > MOST_ANSWERS:
            del self.answers[next(iter(self.answers))]

    def floor(self, problem: Problem) -> int:
        """The best bound on ``problem`` that follows from the answers known."""
        bounds = [floor(former, result, problem) for former, result in self.answers.items()]
        return max((bound for bound in bounds if bound is not None), default=0)

    def rules_out(self, problem: Problem) -> bool:
        """Whether an answer known says that ``problem`` is impossible."""
        return any(rules_out(former, result, problem) for former, result in self.answers.items())

    def prices(self, costs: Costs, used: Collection[int]) -> DualPrices | None:
        """Prices that hold for jobs with these changes and set-ups, if there are any."""
        known = self._prices.get(costs.changes)
        return known if known is not None and known.potentials.keys() >= set(used) else None

    def price(self, costs: Costs, prices: DualPrices) -> None:
        """Remember prices."""
        self._prices[costs.changes] = prices
