"""Waves for a job with rules about gaps: exact when nothing was cut off, else a good order and a bound."""

from __future__ import annotations

from math import log
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD
from sequencer.engine.base.trace import in_sequence
from sequencer.engine.bounds.byte_tables import PackedCuts
from sequencer.engine.bounds.pricing import ROUNDS, Pricing
from sequencer.engine.bounds.sharper import Sharper
from sequencer.engine.gaps.contract import alike
from sequencer.engine.gaps.moves import GapMoves
from sequencer.engine.gaps.refined import RuledRefinement
from sequencer.engine.refine.refine import refinable
from sequencer.engine.sequence import FIRST_PRICING, along, greedy
from sequencer.engine.waves.beam import BeamResult
from sequencer.engine.waves.wave import Wave, Waves

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sequencer.engine.base.bitsets import Words
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

    def sharper(self, moves: GapMoves) -> Sharper:
        """What sets prices anew as a search goes on."""
        return Sharper(self._pricing, moves, setups=self._setups)


FARTHEST, NEAREST = 3, 6
"""What part of the gap the next goal is to close: a third, or as little as a sixth where that is too much."""

WHOLE_AT_LAST = 80_000
"""States of a wave that is to be whole up to the best cost, where those before it let expect no more."""

FEW_IDEALS, MANY_IDEALS = 50_000, 400_000
"""Ideals in a table before waves that are to be whole: in any case, and where that leads."""

FAR, GUIDED = 2, 3_000
"""How many times the gap of the waves a table may leave if it is to go on; states of a wave guided by it."""

GREAT_IDEALS = 800_000
"""Ideals in a table where there is time."""

WHOLE = 8_000
"""States of a wave that is to be whole, where narrower ones have looked for an order."""


def widening(
    job: Job, gaps: Gaps, widths: Iterable[int], cutoff: int, budget: Budget
) -> Iterator[BeamResult]:
    """What waves find, each wider than the one before and with the best cost so far as its cutoff.

    They are to find a good order. Then a table of few operations is refined as far as it may grow at first.
    After that goals below the best cost are tried, as near to it as so many states go: a wave that is whole
    below its goal leaves no doubt about it, where a narrowed one proves little. Then table and waves go on
    in turn, where the table is not far behind. With a second width there is time, and both are made great.
    """
    priced = Priced(job, budget)
    moves = GapMoves(job, gaps, priced.bound(FIRST_PRICING))
    best = BeamResult(None, cutoff, 0)
    table = RuledRefinement(job, gaps, cutoff, budget) if refinable(job) else None
    growing: Iterator[BeamResult] = iter(())
    for number, width in enumerate(widths):
        best = best.joined(GapWaves(moves, min(width, budget.widest), best.cost, budget).run())
        yield best
        if not number and not best.complete:
            if table is not None:
                table.below(best.cost)
                growing = table.run(MANY_IDEALS)
                for found in growing:
                    best = best.joined(found)
                    yield best
                    if len(table.ideals) > FEW_IDEALS and table.best.bound < best.bound:
                        break
            moves = moves if best.complete else moves.bounded(priced.bound())
        elif number == 1 and table is not None and not best.complete:
            for found in _with_time(table, moves, best, budget):
                best = found
                yield best
        for found in _rising(moves, priced, min(max(width, WHOLE), budget.widest), best, budget):
            best = found
            yield best
        if table is not None and not number:
            for found in _in_turn(table, growing, moves, best, budget):
                best = found
                yield best
        if best.complete or budget.over:
            return


def _in_turn(
    table: RuledRefinement, growing: Iterator[BeamResult], moves: GapMoves, best: BeamResult, budget: Budget
) -> Iterator[BeamResult]:
    """Table and waves by turns, as long as these find a better order: below its cost the table is smaller."""
    while best.cost - table.best.bound <= FAR * (best.cost - best.bound) and not budget.over:
        for found in growing:
            best = best.joined(found)
            yield best
        if best.complete or table.left is None:
            return
        wave = GapWaves(moves.also(table.left), min(GUIDED, budget.widest), best.cost, budget).run()
        best = best.joined(wave)
        yield best
        if best.complete or wave.order is None:
            return
        table.below(best.cost)
        growing = table.run(MANY_IDEALS)


def _with_time(
    table: RuledRefinement, moves: GapMoves, best: BeamResult, budget: Budget
) -> Iterator[BeamResult]:
    """A great table below the best cost, then one wave that it guides together with the prices.

    Each is the greater bound in its own part of an order; together they leave a fraction of the states that
    either leaves.
    """
    table.below(best.cost)
    for found in table.run(GREAT_IDEALS):
        best = best.joined(found)
        yield best
    if not best.complete and table.left is not None and not budget.over:
        yield best.joined(GapWaves(moves.also(table.left), budget.widest, best.cost, budget).run())


def _rising(
    moves: GapMoves, priced: Priced, width: int, best: BeamResult, budget: Budget
) -> Iterator[BeamResult]:
    """Bounds by whole waves below one goal after another; what one finds is the best order."""
    share, known = FARTHEST, (0, 0.0)
    while not best.complete and share <= NEAREST and not budget.over:
        goal = best.bound + max(1, (best.cost - best.bound) // share)
        # narrow waves are over before prices set anew have paid
        sharper = priced.sharper(moves) if width > WHOLE else None
        run = GapWaves(moves, width, goal, budget, sharper, whole=True)
        found = run.run()
        if not found.complete:
            share *= 2
            continue
        best = best.joined(BeamResult(found.order, found.cost if found.order else best.cost, found.bound))
        yield best
        before, known = known, (goal, log(run.widest))
        if before[0] and not best.complete:
            slope = max(0.0, known[1] - before[1]) / (known[0] - before[0])
            if known[1] + slope * (best.cost - goal) <= log(WHOLE_AT_LAST):
                most = min(2 * WHOLE_AT_LAST, budget.widest)
                sharper = priced.sharper(moves)
                found = GapWaves(moves, most, best.cost, budget, sharper, whole=True).run()
                best = best.joined(found)
                yield best
                return


class GapWaves(Waves):
    """One run over all waves; a ``whole`` one ends where there are more states than may be kept."""

    packed: GapMoves

    def __init__(
        self,
        moves: GapMoves,
        width: int,
        cutoff: int,
        budget: Budget,
        sharper: Sharper | None = None,
        *,
        whole: bool = False,
    ) -> None:
        super().__init__(moves, width, cutoff, budget, sharper, leading=True)
        self.whole = whole
        self.widest = 1
        self._done: list[Words] = []

    def _narrowed(self, wave: Wave) -> Wave:
        least = int(wave.key.min(initial=self.best))
        wave = super()._narrowed(wave)
        if self.whole and self.cut < self.best:
            self.cut = min(self.cut, least)
            return wave.take(np.zeros(0, dtype=np.int64))
        self._done.append(wave.done)
        self.widest = max(self.widest, len(wave))
        return wave

    def _moves(self, wave: Wave, begin: int, end: int) -> Wave:
        """All moves of some of the states that may lead to something better."""
        moves = self.packed
        done = [words[begin:end] for words in wave.done]
        setup = wave.setup[begin:end]
        free, held = ~moves.barred(done, setup), moves.held(done)
        rows, after = [], []
        safe = np.zeros(len(setup), dtype=bool)
        for goal, (_, op) in enumerate(moves.goals):
            if goal == 0 or moves.goal_setups[goal] != moves.goal_setups[goal - 1]:
                safe = np.zeros(len(setup), dtype=bool)
            own, then = moves.reached(done, held, goal, free[:, goal] & ~safe)
            if op < 0:
                safe[own] = True
            rows.append(own)
            after.append(then)
        origin = np.concatenate(rows)
        if not len(origin):
            return wave.take(origin)
        present = np.repeat(moves.goal_setups, [len(own) for own in rows])
        words = [np.concatenate([then[word] for then in after]) for word in range(moves.words)]
        spent = wave.cost[begin:end][origin] + moves.table[setup[origin], present]
        key = np.maximum(wave.key[origin + begin], spent + moves.bound(words, present.astype(np.int64)))
        parents = (origin + begin).astype(np.int32)
        found = Wave(words, present, spent, key, parents)
        return self._unfinished(found.take(np.flatnonzero(key < self.best)))

    def _unfold(self, parent: int, setup: int) -> list[int]:  # noqa: ARG002 - what was done tells more
        """The order that leads to a state, from what was done on the way."""
        sets = [self.job.all]
        for done, (parents, _) in zip(reversed(self._done), reversed(self._steps), strict=True):
            sets.append(sum(int(words[parent]) << WORD * number for number, words in enumerate(done)))
            parent = int(parents[parent])
        order: list[int] = []
        for before, then in zip(reversed(sets), reversed(sets[:-1]), strict=False):
            first = then & ~before & ~self.packed.safe
            order += [*members(first), *in_sequence(self.job, before | first, then & ~before & ~first)]
        return order
