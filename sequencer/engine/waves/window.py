"""Large-neighbourhood search: some consecutive visits of an order are ordered anew, nearly exactly.

A window of visits is a job of its own: it begins in the set-up before it and ends on the way to the one after
it (an operation more, that comes last, stands for that). Prices made for the whole job hold for the window
too. After each gain the whole order is gone through again, doing everything as soon as its set-up is visited.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import TYPE_CHECKING

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.job import Job
from sequencer.engine.base.packed import Packed
from sequencer.engine.base.trace import in_sequence
from sequencer.engine.bounds.bounds import FINE
from sequencer.engine.bounds.byte_tables import PackedCuts
from sequencer.engine.bounds.cuts import DualPrices
from sequencer.engine.waves.wave import waves

if TYPE_CHECKING:
    from sequencer.engine.stop import Budget

LENGTHS = (16, 36)
"""Visits in a window, from and to."""

PATIENCE = 80
"""Windows without any gain after which the search ends."""


class Windows:
    """Improves orders of one job whose costs are closed."""

    def __init__(self, job: Job, prices: DualPrices) -> None:
        self.job = job
        self.prices = prices
        self._random = random.Random(1)  # noqa: S311

    def search(self, order: Sequence[int], count: int, width: int, budget: Budget) -> list[int]:
        """The order after ``count`` windows, each searched with ``width`` states a visit."""
        best = self._early(order)
        idle = 0
        for _ in range(count):
            if budget.over or budget.late or idle == PATIENCE:
                break
            idle += 1
            visits = self._visits(best)
            length = min(len(visits), self._random.randint(*LENGTHS))
            begin = self._random.randint(0, len(visits) - length)
            before = [op for visit in visits[:begin] for op in visit]
            inner = [op for visit in visits[begin : begin + length] for op in visit]
            after = [op for visit in visits[begin + length :] for op in visit]
            better = self._again(before, inner, after, width, budget)
            if better is not None:
                best = self._early([*before, *better, *after])
                idle = 0
        return best

    def _visits(self, order: Sequence[int]) -> list[list[int]]:
        visits: list[list[int]] = []
        for op in order:
            if visits and self.job.setups[visits[-1][-1]] == self.job.setups[op]:
                visits[-1].append(op)
            else:
                visits.append([op])
        return visits

    def _early(self, order: Sequence[int]) -> list[int]:
        """The same way through the set-ups, with everything done as soon as it can be."""
        job = self.job
        done, ready = 0, job.first
        early: list[int] = []
        for op in order:
            if not done >> op & 1:
                then, ready = job.exhaust(done, ready, job.setups[op])
                early += in_sequence(job, done, then & ~done)
                done = then
        return early

    def _again(
        self, before: list[int], inner: list[int], after: list[int], width: int, budget: Budget
    ) -> list[int] | None:
        """A better order of the window, or None."""
        job = self.job
        done = mask_of(before)
        number = {op: index for index, op in enumerate(inner)}
        clauses = [
            tuple(
                mask_of(number[other] for other in members(clause) if other in number)
                for clause in job.clauses[op]
                if not clause & done
            )
            for op in inner
        ]
        setups = [job.setups[op] for op in inner]
        previous = job.setups[before[-1]] if before else -1
        starts = job.costs.changes[previous] if before else job.costs.starts
        costs, prices = Costs(job.costs.changes, starts), self.prices
        if after:
            costs, prices = self._ending(starts, job.setups[after[0]])
            setups.append(len(starts))
            clauses.append(tuple(1 << index for index in range(len(inner))))
        part = Job(tuple(setups), tuple(clauses), costs)
        now = part.cost(range(part.size))
        found = waves(Packed(part, PackedCuts(prices.on(part))), width, now, budget)
        return None if found.order is None else [inner[index] for index in found.order if index < len(inner)]

    def _ending(self, starts: tuple[int, ...], following: int) -> tuple[Costs, DualPrices]:
        """Costs and prices with one set-up more, that stands for leaving the window."""
        changes = self.job.costs.changes
        far = 2 * max(max(row) for row in changes) + 1
        end = len(starts)
        rows = (*((*row, row[following]) for row in changes), (*(far for _ in starts), 0))
        costs = Costs(rows, (*starts, far))
        potentials = self.prices.potentials
        last = max((u - FINE * changes[s][following] for s, u in potentials.items()), default=0)
        return costs, DualPrices(self.prices.groups, {**potentials, end: last})
