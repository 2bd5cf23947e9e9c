"""Waves for a job with rules about gaps: exact when nothing was cut off, else a good order and a bound."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.trace import in_sequence
from sequencer.engine.base.words import WORD
from sequencer.engine.bounds.pricing import ROUNDS, prices_for
from sequencer.engine.bounds.tables import PackedCuts
from sequencer.engine.gaps.contract import alike
from sequencer.engine.gaps.moves import GapMoves
from sequencer.engine.sequence import along, greedy
from sequencer.engine.waves.wave import Wave, Waves

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sequencer.engine.base.gaps import Gaps
    from sequencer.engine.base.job import Job
    from sequencer.engine.base.words import Words
    from sequencer.engine.stop import Budget
    from sequencer.engine.waves.beam import Found
    from sequencer.engine.waves.packed import Bound


class Priced:
    """The bound by priced cuts, of the job that tells fewer set-ups apart."""

    def __init__(self, job: Job, budget: Budget) -> None:
        plain = alike(job)
        prices = prices_for(plain, along(plain, greedy(plain)), budget, rounds=ROUNDS)
        self._cuts = PackedCuts(prices.on(plain))
        self._setups = np.arange(len(job.costs.starts))
        self._setups[list(job.setups)] = plain.setups

    def bound(self, done: Words, present: np.ndarray) -> np.ndarray:
        """A bound on the changes to come, for every state; ``present`` holds the set-ups."""
        return self._cuts.bound(done, self._setups[present])


def widening(
    job: Job, gaps: Gaps, bound: Bound, widths: Iterable[int], cutoff: int, budget: Budget
) -> Iterator[Found]:
    """What waves find, each wider than the one before and with the best cost so far as its cutoff."""
    moves = GapMoves(job, gaps, bound)
    for width in widths:
        found = GapWaves(moves, min(width, budget.widest), cutoff, budget).run()
        cutoff = found.cost
        yield found
        if found.complete or budget.over:
            return


class GapWaves(Waves):
    """One run over all waves."""

    def __init__(self, moves: GapMoves, width: int, cutoff: int, budget: Budget) -> None:
        super().__init__(moves, width, cutoff, budget, None, leading=True)
        self._gap_moves = moves
        self._done: list[Words] = []

    def _narrowed(self, wave: Wave) -> Wave:
        wave = super()._narrowed(wave)
        self._done.append(wave.done)
        return wave

    def _moves(self, wave: Wave, begin: int, end: int) -> Wave:
        """All moves of some of the states that may lead to something better."""
        moves = self._gap_moves
        done = [words[begin:end] for words in wave.done]
        setup = wave.setup[begin:end]
        free = ~moves.barred(done, setup)
        rows, after = [], []
        safe = np.zeros(len(setup), dtype=bool)
        for goal, (_, op) in enumerate(moves.goals):
            if goal == 0 or moves.goal_setups[goal] != moves.goal_setups[goal - 1]:
                safe = np.zeros(len(setup), dtype=bool)
            own, then = moves.reached(done, goal, free[:, goal] & ~safe)
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
            first = then & ~before & ~self._gap_moves.safe
            order += [*members(first), *in_sequence(self.job, before | first, then & ~before & ~first)]
        return order
