"""The best answer so far and its bound, true at any moment."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.bits import mask_of
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.problem import Problem, Progress


class Incumbent:
    """Takes orders and bounds, keeps the best of both, and tells about every improvement.

    Attributes:
        order: The best order; None before the first.
        cost: Its cost.
        bound: No answer costs less.
        limit: Only what stays below this in fine units is better.
    """

    def __init__(self, problem: Problem, appraisal: Appraisal, progress: Progress | None) -> None:
        self.order: tuple[int, ...] | None = None
        self.cost = 0
        self.bound = 0
        self.limit = appraisal.unit * (sum(problem.durations) + appraisal.dearest + 1)
        self._setups = problem.setups
        self._size = len(problem.durations)
        self._unit = appraisal.unit
        self._rules = appraisal.rules
        self._costs = appraisal.costs
        self._progress = progress
        self._told: tuple[int, int] | None = None

    def consider(self, order: Sequence[int]) -> bool:
        """Take an order if it is valid and better."""
        if not self.valid(order):
            return False
        cost = self._rules.handling(mask_of(order)) + self._costs.of([self._setups[op] for op in order])
        fine = self._unit * cost + len(order)
        if fine >= self.limit:
            return False
        self.limit, self.cost, self.order = fine, cost, tuple(order)
        self._tell()
        return True

    def raise_bound(self, key: int) -> None:
        """Take note that no answer has a lower key."""
        bound = -(-(min(key, self.limit) - self._size) // self._unit)
        if bound > self.bound:
            self.bound = bound
            self._tell()

    def raise_floor(self, bound: int) -> None:
        """Take note that no answer costs less than ``bound``, which is known from elsewhere."""
        self.bound = max(self.bound, bound)

    def valid(self, order: Sequence[int]) -> bool:
        """Whether an order keeps every rule."""
        rules = self._rules
        chosen = mask_of(order)
        if len(set(order)) != len(order) or chosen & ~rules.open or self.unmet(order):
            return False
        place = {op: number for number, op in enumerate(order)}
        if any(a in place and b in place and place[a] > place[b] for a, b in rules.orders):
            return False
        if rules.gaps and rules.gaps.broken(order):
            return False
        return not rules.fired(chosen) & ~chosen and rules.called(chosen) == chosen

    def unmet(self, order: Sequence[int]) -> list[int]:
        """The clauses that an order breaks; the goals too."""
        done = 0
        unmet = []
        for op in order:
            unmet += [clause for clause in self._rules.clauses[op] if not clause & done]
            done |= 1 << op
        return unmet + [goal for goal in self._rules.goals if not goal & done]

    def _tell(self) -> None:
        now = (self.cost, self.bound)
        if self._progress is not None and self.order is not None and self._told != now:
            self._told = now
            self._progress(*now)
