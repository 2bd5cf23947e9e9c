"""Proof by refinement: a job of few operations, solved exactly, that takes in what its answer lacks.

The best order of the operations kept is found by sweeps (``sweep``); all that it lacks for the others is a
bound short of the cost, and some of that is taken in before the next sweep. What is left out has prices of
its own meanwhile (``left_out``). The bound never falls; when an order lacks nothing, or costs as much as the
best one known, that is the proof. Orders come from the walks of the sweeps, completed, and from narrow waves
that the sweep is the bound of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import log

from sequencer.engine.base.bits import members
from sequencer.engine.base.job import Job
from sequencer.engine.base.packed import Packed, StateBounds
from sequencer.engine.refine.ideals import MOST, Ideals
from sequencer.engine.refine.in_rounds import Binding
from sequencer.engine.refine.lacking import completed, lacking
from sequencer.engine.refine.left_out import LeftOut, LeftOutBound
from sequencer.engine.refine.sweep import NEVER, Sweep, SweepBound
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import BeamResult
from sequencer.engine.waves.wave import waves

GROW, SMALL = 2.0, 3_000
"""By how much a table may grow from one sweep to the next; up to ``SMALL`` ideals, at once."""

STATE_BYTES, ROW_BYTES, CELL_BYTES = 300, 250, 11
"""What a state of the memory cap stands for; what an ideal takes, steps included, and each of its set-ups."""

FAINT = 0.3
"""What an operation is worth to the table at the least if its order lacks it."""

MOST_IDEALS = 20_000_000
"""With many more, keys would be the same too often."""

FIRST_WAVES, WAVES = 4_000, 50_000
"""Ideals swept before the first waves, and between two: about as much work as narrow ones."""

SHARE, NARROWEST = 2, 10
"""Ideals swept since for each state of the waves, and the states kept a visit at the least."""


class Refinement:
    """One job under refinement, which is ``refinable``, and fit for waves (``sequence.packable``).

    Where its costs are not closed, the bound is that of the closed ones.

    Attributes:
        with_prices: Whether what is left out gets prices. They take longer to make than plain jobs of sixty
            operations take to be proven.
    """

    with_prices = False

    def __init__(self, job: Job, cutoff: int, budget: Budget) -> None:
        self.job = job
        self.budget = budget
        self.ideals = Ideals(job)
        self.ideals.take_in(longest_chain(job), job.size + 1, job.size + 1)
        self.best = BeamResult(None, cutoff, 0)
        self.sweep: Sweep | None = None
        self._left_out = LeftOut(job) if self.with_prices else None
        self._price_left_out()
        columns = len(self.ideals.column)
        each = ROW_BYTES + 16 * len(self.ideals.words) + CELL_BYTES * columns
        self.most = max(1, min(MOST_IDEALS, budget.limits.memory_states * STATE_BYTES // each // 2))
        self._swept, self._between = 0, FIRST_WAVES
        self._tried, self._lowered = 0, False
        self._at_the_end: list[int] | None = None
        self._together: dict[int, int] = {}

    @property
    def left(self) -> StateBounds | None:
        """The bound of the last sweep, for states of the job."""
        return None if self.sweep is None else LeftOutBound(SweepBound(self.sweep), self.prices, self.job)

    def run(self, most: int | None = None) -> Iterator[BeamResult]:
        """The best order and the bound after each sweep, until the proof or as far as memory allows.

        Called again, it goes on from where it ended.

        Args:
            most: Ideals to have at a time, if that is fewer.
        """
        most = self.most if most is None else min(most, self.most)
        if most <= self._tried and not self._lowered:
            return
        self._tried, self._lowered = most, False
        if self._at_the_end is not None and not self._more(self._lacking(self._at_the_end), most):
            return
        while not self.best.complete:
            self._swept += len(self.ideals)
            self._price_left_out()
            sweep = self._new_sweep()
            # the last one no longer fits the table, which has taken more in since
            self.sweep = sweep if sweep.run(self.budget) else None
            if self.sweep is None:
                return
            self.best = self.best.joined(BeamResult(None, self.best.cost, sweep.least + self.least_left_out))
            if self.best.complete:
                yield self.best
                return
            kept = sweep.walk()
            self.best = self.best.joined(self._completed(kept))
            if not self.best.complete and self._swept >= self._between:
                self._waves(LeftOutBound(SweepBound(sweep), self.prices, self.job), kept)
            yield self.best
            self._at_the_end = kept
            if self.best.complete or not self._more(self._lacking(kept), most):
                return
            self._at_the_end = None

    def below(self, cutoff: int) -> None:
        """Orders that cost as much as ``cutoff`` are of no interest any more."""
        if cutoff < self.best.cost:
            self._lowered, self._at_the_end = True, None
            self.best = BeamResult(None, cutoff, min(cutoff, self.best.bound))

    def _price_left_out(self) -> None:
        """Prices of what the table leaves out now, and what they come to over a whole order."""
        self.prices = [] if self._left_out is None else self._left_out.prices(self.ideals.kept)
        self.least_left_out = sum(price.price * len(price.enter) for price in self.prices)

    def _waves(self, left: StateBounds, kept: Sequence[int]) -> None:
        """Waves with a sweep as their bound, as wide as is as much work as the sweeps since the last."""
        width = self._swept // (SHARE * visits(self.job, completed(self.job, kept)))
        width = min(self.budget.widest, max(NARROWEST, width))
        self._swept, self._between = 0, WAVES
        found = waves(Packed(self.job, left), width, self.best.cost, self.budget)
        self.best = self.best.joined(found)

    def _new_sweep(self) -> Sweep:
        return self._sweep(None)

    def _sweep(self, rules: Binding | None) -> Sweep:
        """A sweep below the best cost, what is left out taken off; more where that is gone to itself."""
        visited = [self.job.in_setup[setup] for setup in self.ideals.column]
        more = [sum(price.price for price in self.prices if price.group & ops) for ops in visited]
        return Sweep(self.ideals, self.best.cost - self.least_left_out, rules, more)

    def _completed(self, kept: Sequence[int]) -> BeamResult:
        """The order of all operations along one of those kept."""
        order = completed(self.job, kept)
        return BeamResult(order, self.job.cost(order), 0)

    def _lacking(self, kept: Sequence[int]) -> dict[int, int]:
        return lacking(self.job, kept)

    def _more(self, lack: dict[int, int], most: int) -> int:
        """Take in what costs most for the ideals that it makes, as memory allows; how many operations."""
        ranked = []
        for ops in dict.fromkeys(self._together.get(op, 1 << op) & ~self.ideals.kept for op in lack):
            own = sorted(members(ops), key=lambda op: (self.job.ancestors[op].bit_count(), op))
            worth = sum(lack.get(op, 0) for op in own) - self._priced(ops)
            growth = max(self.ideals.growth(op) for op in own)
            ranked.append((-max(FAINT, worth) / log(1 + growth + 1e-9), own))
        sequence = [op for _, own in sorted(ranked) for op in own]
        return self.ideals.take_in(sequence, int(max(SMALL, len(self.ideals) * GROW)), most)

    def _priced(self, ops: int) -> int:
        """The prices that are lost when operations are taken in."""
        return sum(price.price for price in self.prices if price.group & ops)


def refinable(job: Job) -> bool:
    """Whether the costs are within machine words, and the operations within a key."""
    return job.dearest < NEVER and job.size < MOST


def visits(job: Job, order: Sequence[int]) -> int:
    """How many times an order goes to a set-up."""
    return 1 + sum(job.setups[a] != job.setups[b] for a, b in pairwise(order))


def longest_chain(job: Job) -> list[int]:
    """Operations each of which waits for the one before, such that going through them costs the most."""
    worth: list[int] = [0] * job.size
    before: list[int | None] = [None] * job.size
    for op in job.by_ancestors:
        worth[op] = job.costs.starts[job.setups[op]]
        for other in members(job.ancestors[op]):
            through = worth[other] + job.costs.changes[job.setups[other]][job.setups[op]]
            if before[op] is None or through >= worth[op]:
                worth[op], before[op] = through, other
    spot: int | None = max(range(job.size), key=lambda op: (worth[op], -op))
    chain: list[int] = []
    while spot is not None:
        chain.append(spot)
        spot = before[spot]
    return chain[::-1]
