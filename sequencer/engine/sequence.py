"""Putting a fixed set of operations in order: merge, look for a good order, prove it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import merge
from sequencer.engine.base.trace import in_sequence, moves
from sequencer.engine.bounds.bounds import Guide, RunBound
from sequencer.engine.memory import Memory
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.waves.beam import BeamResult, beam
from sequencer.engine.waves.search import best_first

if TYPE_CHECKING:
    from sequencer.engine.bounds.cuts import DualPrices
    from sequencer.engine.refine.refine import Refinement
    from sequencer.engine.waves.local import SegmentExchange

FIRST_WIDTH, FIRST_STATES = 10, 300
"""What is tried before numpy is imported, which takes a tenth of a second; small jobs end here."""

FIRST_PRICING = 3
"""Rounds of pricing before the first wave: many jobs need no better bound."""

DESCENTS, MANY_DESCENTS, MANY_ALONE = (300, 1_000, 4_000, 20_000, 50_000), 12_000, 45
"""Descents where each operation has a set-up of its own: before the first wave and after each; before the
first where there are so many operations that prices take long and waves prove little."""

FEW = 100
"""States tried so where strong prices are at hand, and numpy with them."""

WIDTHS = (1_000, 10_000, 100_000)
"""States kept a visit in turn; at last as many as memory allows."""

FEW_IDEALS, SOME_IDEALS = 30_000, 100_000
"""Ideals in a table before anything else is tried: where each operation has a set-up of its own, and else."""

FEW_A_STATE = 3
"""Where each operation has a set-up of its own, ideals in a table after waves for each state kept a visit."""

STATES = 6
"""States along a good order that prices are set for."""

NEARLY = 0.015
"""Gap below which the next wave is more likely to find what there is to find than a local search."""

WIDE = 1 << 50
"""Costs in parts of a unit stay below this, so that machine words and doubles hold them exactly."""

Report = Callable[[BeamResult], bool]


def sequence(
    job: Job,
    cutoff: int,
    budget: Budget,
    report: Report | None = None,
    prices: DualPrices | None = None,
    start: Sequence[int] | None = None,
    memory: Memory | None = None,
) -> BeamResult:
    """The cheapest order of ``job`` that costs less than ``cutoff``.

    Args:
        job: A feasible job.
        cutoff: Orders that cost as much are of no interest.
        budget: The limits of the whole question.
        report: Called whenever a round ends, with the best order and the bound; True ends the search.
        prices: For the bound, if there are some that suit.
        start: An order that others may be made from; it need not be below the cutoff.
        memory: Where prices made for other jobs are found, and new ones kept.
    """
    merged = merge(job, budget)
    best = BeamResult(None, cutoff, 0)
    blocks = None if start is None else merged.fold(start)
    methods = _Methods(merged.job, budget, prices, blocks, memory or Memory())
    for found in methods.rounds(cutoff):
        order = best.order if found.order is None else merged.unfold(found.order)
        best = BeamResult(order, min(best.cost, found.cost), max(best.bound, found.bound))
        enough = report is not None and report(best)
        if enough or best.complete or budget.over or _near(best, budget):
            break
    return best


class _Methods:
    """One method after the other on one job, each with the best cost so far as its cutoff."""

    def __init__(
        self, job: Job, budget: Budget, prices: DualPrices | None, start: list[int] | None, memory: Memory
    ) -> None:
        self.job = job
        self.budget = budget
        self.prices = prices or memory.prices(job.costs, job.setups)
        self.order = start if start is not None and job.valid(start) else None
        self.cutoff = self.bound = 0
        self.memory = memory
        self.refinement: Refinement | None = None

    def rounds(self, cutoff: int) -> Iterator[BeamResult]:
        """What each method finds in turn, until the order is proven."""
        job = self.job
        self.cutoff = cutoff
        vector = packable(job, cutoff)
        quick = vector and self.prices is not None
        guide: Guide = RunBound(job) if self.prices is None else self.prices.on(job)
        if not quick or self.order is None:
            yield self._take(beam(job, guide, 1 if quick else FIRST_WIDTH, cutoff, self.budget))
        states = (FEW if quick else FIRST_STATES) if vector else None
        yield self._take(best_first(job, guide, self.cutoff, self.budget, states))
        if vector:
            yield from self._waves()

    def _take(self, found: BeamResult) -> BeamResult:
        self.order, self.cutoff = found.order or self.order, found.cost
        self.bound = max(self.bound, found.bound)
        return found

    def _waves(self) -> Iterator[BeamResult]:
        """Wider and wider waves; prices that suit the job itself when those at hand don't do."""
        from sequencer.engine.bounds.pricing import prices_for
        from sequencer.engine.refine.refine import Refinement, refinable

        job = self.job
        if self.prices is not None:
            yield from self._widening(self.prices, WIDTHS[:1])
        self.order = self.order or greedy(job)
        single = self._exchange()
        if single is not None:
            yield self._local(single.search(self.order, DESCENTS[0], self.budget))
        self.refinement = Refinement(job, self.cutoff, self.budget) if refinable(job) else None
        yield from self._refined(SOME_IDEALS if single is None else FEW_IDEALS)
        if single is not None and job.size > MANY_ALONE:
            yield self._local(single.search(self.order, MANY_DESCENTS, self.budget))
        if self.prices is None and self.refinement is None:
            soon = prices_for(job, along(job, self.order), self.budget, rounds=FIRST_PRICING)
            yield from self._widening(soon, WIDTHS[:1])
        prices = prices_for(job, along(job, self.order), self.budget)
        self.memory.price(job.costs, prices)
        for number, width in enumerate((*WIDTHS, self.budget.widest), start=1):
            yield from self._widening(prices, (width,), plain=number == 1)
            close = close_enough(self.cutoff, self.bound, NEARLY)
            if not close and (single is not None or self._refines_better()):
                yield from self._refined(None if single is None else width * FEW_A_STATE)
            if single is not None and not close:
                yield self._local(single.search(self.order, DESCENTS[number], self.budget))

    def _refines_better(self) -> bool:
        """Whether refinement left no more than twice the gap that waves have come to."""
        if self.refinement is None:
            return False
        return self.cutoff - self.refinement.best.bound < 2 * (self.cutoff - self.bound)

    def _refined(self, most: int | None) -> Iterator[BeamResult]:
        """What refinement comes to with so many ideals at a time, or as memory allows."""
        if self.refinement is not None:
            self.refinement.below(self.cutoff)
            for found in self.refinement.run(most):
                yield self._take(found)

    def _widening(
        self, prices: DualPrices, widths: Iterable[int], plain: bool = True
    ) -> Iterator[BeamResult]:
        """Waves with these prices, each wider than the one before.

        Unless they are ``plain``, what refinement came to is a bound of theirs as well.
        """
        from sequencer.engine.base.packed import Packed
        from sequencer.engine.bounds.byte_tables import PackedCuts
        from sequencer.engine.waves.wave import waves

        left = None if plain or self.refinement is None else self.refinement.left
        others = () if left is None else (left,)
        packed = Packed(self.job, PackedCuts(prices.on(self.job)), *others)
        for width in widths:
            yield self._take(waves(packed, min(width, self.budget.widest), self.cutoff, self.budget))

    def _exchange(self) -> SegmentExchange | None:
        """The local search, where each operation has a set-up of its own and no clause a choice."""
        from sequencer.engine.waves.local import SegmentExchange

        return SegmentExchange(self.job) if alone(self.job) and not any(self.job.ors) else None

    def _local(self, found: tuple[list[int], int]) -> BeamResult:
        """Take what a local search came to, which says nothing about the bound."""
        self.order, cost = found
        better = cost < self.cutoff
        self.cutoff = min(cost, self.cutoff)
        return BeamResult(self.order if better else None, self.cutoff, 0)


def alone(job: Job) -> bool:
    """Whether every operation has a set-up of its own, as in the sequential ordering problem."""
    return all(not ops & (ops - 1) for ops in job.in_setup)


def packable(job: Job, cutoff: int) -> bool:
    """Whether numpy can do it: each set-up safe to exhaust or alone, costs within machine words."""
    single = all(job.costs.safe[setup] or not ops & (ops - 1) for setup, ops in job.visited)
    return single and 64 * max(job.dearest, cutoff) < WIDE


def _near(best: BeamResult, budget: Budget) -> bool:
    gap = budget.limits.gap
    return best.order is not None and gap > 0 and close_enough(best.cost, best.bound, gap)


def along(job: Job, order: Sequence[int]) -> list[tuple[int, int]]:
    """A few states (done, set-up) spread over the first half of an order, at the ends of its visits."""
    states = []
    done = 0
    for op, following in pairwise(order):
        done |= 1 << op
        if job.setups[op] != job.setups[following]:
            states.append((done, job.setups[op]))
    states = states[: max(1, len(states) // 2)]
    return states[:: max(1, len(states) // STATES)] or [(0, job.setups[order[0]])]


def greedy(job: Job) -> list[int]:
    """An order without any search: always on to the set-up that is cheapest to reach; for a feasible job."""
    done, ready, setup = 0, job.first, -1
    order: list[int] = []
    while done != job.all:
        step = min(moves(job, done, ready, setup), key=lambda move: (move[3], -move[0].bit_count(), move[2]))
        order += in_sequence(job, done, step[0] & ~done)
        done, ready, setup, _ = step
    return order
