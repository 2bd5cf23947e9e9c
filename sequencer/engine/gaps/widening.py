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
from sequencer.engine.gaps.waves import GapWaves
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


FEW_IDEALS, GREAT_IDEALS = 60_000, 150_000
"""Ideals in a table before levels, and where there is time."""

GUIDED = 3_000
"""States of a level kept for an order that is better, guided by the table."""

LEVELS = 2
"""Waves by visits after which there are levels: first guided, then whole."""


def widening(
    job: Job, gaps: Gaps, widths: Iterable[int], cutoff: int, budget: Budget
) -> Iterator[BeamResult]:
    """What waves find, each wider than the one before and with the best cost so far as its cutoff.

    They are to find a good order. Then a table of few operations is refined as far as it may grow at first.
    Table and prices are the greater bound each in its own part of an order: together they guide levels, which
    look for a better order. With a second width there is time: the table is made greater, and levels that are
    whole, if memory allows, leave no doubt about the best cost.
    """
    priced = Priced(job, budget)
    moves = GapMoves(job, gaps, priced.bound(FIRST_PRICING))
    best = BeamResult(None, cutoff, 0)
    table = RuledRefinement(job, gaps, cutoff, budget) if refinable(job) else None
    cuts: PackedCuts | None = None
    for number, width in enumerate(widths):
        best = best.joined(GapWaves(moves, min(width, budget.widest), best.cost, budget).run())
        yield best
        if table is not None and not best.complete:
            table.below(best.cost)
            for found in table.run(GREAT_IDEALS if number else FEW_IDEALS):
                best = best.joined(found)
                yield best
        if best.complete or budget.over:
            return
        cuts = cuts or priced.bound()
        moves = GapMoves(job, gaps, cuts)
        if table is not None and table.left is not None:
            moves = moves.also(table.left)
        if number < LEVELS:
            kept = min(budget.widest if number else GUIDED, budget.widest)
            best = best.joined(
                Levels(moves, Passing(job, gaps), kept, best.cost, budget, whole=number > 0).run()
            )
            yield best
        if best.complete or budget.over:
            return
