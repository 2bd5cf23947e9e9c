"""What a partial choice costs at the least: handling, and a bound on the changes.

Costs are counted in units of 1 / (n + 1), and every operation costs one of these, so that among equal costs
fewer operations win. A key is a bound in these fine units.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import Merged, merge
from sequencer.engine.bounds.bounds import Guide, RunBound, beginning
from sequencer.engine.choice.selection import Partial, Rules, conclude
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Problem
from sequencer.engine.sequence import along, packable
from sequencer.engine.stop import Budget

if TYPE_CHECKING:
    from sequencer.engine.bounds.cuts import DualPrices


class Appraisal:
    """Bounds for the partial choices of one problem, by prices that they share."""

    def __init__(self, problem: Problem, memory: Memory, budget: Budget) -> None:
        self.rules = Rules.of(problem)
        self.costs = Costs(problem.changes, problem.starts)
        self.unit = len(problem.durations) + 1
        self.dearest = 1 + self.unit * max([0, *problem.starts, *(max(row) for row in problem.changes)])
        """More than the changes of any order."""
        self._setups = problem.setups
        self._memory = memory
        self._budget = budget
        self.prices: DualPrices | None = self._memory.prices(self.costs.closure, self._used())
        """Strong prices, once ``strengthen`` or a question before this one has set them."""
        self._runs: RunBound | None = None

    def key(self, partial: Partial, changes: int) -> int:
        """A bound on every completion, from a bound on the changes."""
        rules = self.rules
        undecided = partial.undecided
        slack = sum(min(0, n) for op, n in enumerate(rules.net(partial.allowed)) if undecided >> op & 1)
        handling = rules.handling(partial.chosen) + slack
        return self.unit * (handling + changes) + partial.chosen.bit_count()

    def room(self, partial: Partial, limit: int) -> int:
        """What the changes have to stay below, so that the key stays below ``limit``."""
        return min(self.dearest, -(-(limit - self.key(partial, 0)) // self.unit))

    def job(self, partial: Partial) -> Job:
        """The chosen operations, with clauses that undecided ones might meet relaxed; costs closed."""
        rules, chosen, undecided = self.rules, partial.chosen, partial.undecided
        ops = list(members(chosen))
        number = {op: index for index, op in enumerate(ops)}
        clauses: list[list[int]] = []
        for op in ops:
            own = [1 << number[other] for other in _latest(partial.before, op)]
            own += [
                mask_of(number[other] for other in members(clause & chosen))
                for clause in rules.clauses[op]
                if not clause & undecided
            ]
            clauses.append(own)
        for a, b in rules.orders:
            if chosen >> a & 1 and chosen >> b & 1:
                clauses[number[b]].append(1 << number[a])
        setups = tuple(self._setups[op] for op in ops)
        return Job(setups, tuple(map(tuple, clauses)), self.costs.closure)

    def merged(self, partial: Partial) -> Merged | None:
        """The job in blocks; None when it has no order."""
        job = self.job(partial)
        return merge(job, self._budget) if job.feasible else None

    def changes(self, partial: Partial) -> int | None:
        """A bound on the changes of a partial choice, without any search; None when it has no order.

        The bound is as strong on single operations as on blocks, so merging would be wasted time.
        """
        job = self.job(partial)
        return beginning(job, self.guide(job)) if job.feasible else None

    def appraised(self, partial: Partial | None) -> int | None:
        """The key of a partial choice with all that is known without search; None when it can't be."""
        if partial is None:
            return None
        changes = self.changes(partial)
        return None if changes is None else self.key(partial, changes)

    def guide(self, job: Job) -> Guide:
        """The bound for a job, by prices that all jobs of this problem share."""
        if self.prices is not None:
            return self.prices.on(job)
        if self._runs is None:
            self._runs = RunBound(job, used=self._used(), late=lambda: self._budget.late)
        return RunBound(job, self._runs)

    def strengthen(self, order: Sequence[int]) -> None:
        """Set strong prices that suit a good order of the whole problem; it takes part of a second.

        Those that a question before this one has left will do as they are.
        """
        if self.prices is not None:
            return
        whole = conclude(self.rules, mask_of(order), mask_of(order))
        merged = None if whole is None else self.merged(whole)
        if whole is None or merged is None or not order or not packable(merged.job, self.dearest):
            return
        from sequencer.engine.bounds.pricing import prices_for

        number = {op: index for index, op in enumerate(members(whole.chosen))}
        blocks = merged.fold([number[op] for op in order])
        self.prices = prices_for(merged.job, along(merged.job, blocks), self._budget, self._used())
        self._memory.price(merged.job.costs, self.prices)

    def adding(self, partial: Partial, op: int) -> int:
        """The handling that choosing ``op`` adds, with all that must come before it."""
        net = self.rules.net(partial.allowed)
        return sum(net[other] for other in members((partial.before[op] | 1 << op) & partial.undecided))

    def _used(self) -> list[int]:
        return sorted({self._setups[op] for op in members(self.rules.open)})


def _latest(before: Sequence[int], op: int) -> list[int]:
    """Of what comes before ``op`` what implies the rest, least numbers last; little if these go by time."""
    latest, left = [], before[op]
    while left:
        other = left.bit_length() - 1
        latest.append(other)
        left &= ~(before[other] | 1 << other)
    return latest
