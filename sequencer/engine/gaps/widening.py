"""Wave after wave with a table beside them, until the order is proven or the search gives up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.bounds.byte_tables import PackedCuts
from sequencer.engine.bounds.pricing import ROUNDS, Pricing
from sequencer.engine.gaps.contract import alike
from sequencer.engine.gaps.done_levels import Levels
from sequencer.engine.gaps.moves import GapMoves
from sequencer.engine.gaps.passing import Passing
from sequencer.engine.gaps.refined import RuledRefinement
from sequencer.engine.refine.refine import refinable
from sequencer.engine.sequence import FIRST_PRICING, along, greedy
from sequencer.engine.waves.beam import BeamResult

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sequencer.engine.base.gaps import Gaps
    from sequencer.engine.base.job import Job
    from sequencer.engine.stop import Budget


class Priced:
    """Bounds by priced cuts, of the job that tells fewer set-ups apart."""

    def __init__(self, job: Job, budget: Budget) -> None:
        self._job = plain = alike(job)
        self._pricing = Pricing(plain, along(plain, greedy(plain)), budget, sorted({*plain.setups}))
        self._setups = np.arange(len(job.costs.starts))
        self._setups[list(job.setups)] = plain.setups

    def bound(self, rounds: int = ROUNDS) -> PackedCuts:
        """By prices after so many rounds of adding groups."""
        return PackedCuts(self._pricing.run(rounds).on(self._job), self._setups)


FEW_IDEALS, GREAT_IDEALS = 90_000, 240_000
"""Ideals in a table after the first run over the levels, and before those further on."""

STAGES = (1, 2.5)
"""How many times as many it may have in turn: what makes few more is taken in before it grows. At last it
ranks what is lacking in another way by turns, so that nothing is passed by for good."""

FURTHER = 2
"""Runs over the levels after which table and prices are made greater."""


def widening(
    job: Job, gaps: Gaps, widths: Iterable[int], cutoff: int, budget: Budget
) -> Iterator[BeamResult]:
    """What levels find, each run wider than the one before and with the best cost so far as its cutoff.

    The first is to find a good order. Below its cost a table of few operations is refined as far as it may
    grow at first. Table and prices are the greater bound each in its own part of an order: together they
    guide the second run. With a third width there is time: table and prices are made greater, and levels as
    wide as memory allows leave no doubt about the best cost.
    """
    priced = Priced(job, budget)
    passing = Passing(job, gaps)
    moves = plain = GapMoves(job, gaps, priced.bound(FIRST_PRICING))
    best = BeamResult(None, cutoff, 0)
    table = RuledRefinement(job, gaps, cutoff, budget) if refinable(job) else None
    for number, width in enumerate(widths):
        if number == FURTHER:
            plain = GapMoves(job, gaps, priced.bound())
        if number and table is not None:
            table.below(best.cost)
            most = FEW_IDEALS if number < FURTHER else GREAT_IDEALS
            for stage in STAGES:
                table.by_turns = stage == STAGES[-1]
                for found in table.run(int(stage * most)):
                    best = best.joined(found)
                    yield best
            if best.complete or budget.over:
                return
            moves = plain if table.left is None else plain.also(table.left)
        best = best.joined(Levels(moves, passing, min(width, budget.widest), best.cost, budget).run())
        yield best
        if best.complete or budget.over:
            return
