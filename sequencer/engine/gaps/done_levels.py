"""Levels of a job with rules: all states with the same number of operations done at once.

Waves by visits would meet the same set after different numbers of visits, where some on the way were free.
Here only the cheapest arrival at each set and set-up is kept, whatever the ways that lead to it. None that
has done less is held against one that has done more; instead what would be behind is not gone to
(``passing``). Exact when nothing was cut off, else a good order and a bound.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD
from sequencer.engine.base.trace import in_sequence
from sequencer.engine.gaps.moves import Extent, GapMoves
from sequencer.engine.waves.beam import BeamResult
from sequencer.engine.waves.wave import CHUNK, Wave, Waves, joined

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.base.job import Job
    from sequencer.engine.gaps.passing import Passing
    from sequencer.engine.stop import Budget


class Levels(Waves):
    """One run over all levels, with the ``width`` most promising states of each."""

    packed: GapMoves

    def __init__(self, moves: GapMoves, passing: Passing, width: int, cutoff: int, budget: Budget) -> None:
        super().__init__(moves, width, cutoff, budget)
        self._passing = passing
        self._begins: list[int] = []
        self._logged: list[tuple[Words, np.ndarray]] = []
        self._kept = 0

    def run(self) -> BeamResult:
        """The best order below the cutoff that survives, and the bound."""
        waiting: dict[int, list[Wave]] = {0: [self._beginning()]}
        for done in range(self.job.size):
            wave = self._level(waiting.pop(done, []))
            if not len(wave):
                continue
            if self.budget.spend(len(wave)):
                left = [wave, *(piece for pieces in waiting.values() for piece in pieces)]
                self.cut = min(self.cut, *(int(piece.key.min()) for piece in left if len(piece)))
                break
            self._log(wave)
            for begin in range(0, len(wave), CHUNK):
                self._sort_in(self._moves(wave, begin, min(begin + CHUNK, len(wave))), waiting)
        return BeamResult(self.order, self.best, min(self.best, self.cut))

    def _level(self, pieces: list[Wave]) -> Wave:
        """All states of a level that may lead to something better, each once."""
        wave = joined(pieces) if pieces else self._beginning().take(np.zeros(0, dtype=np.int64))
        return self._narrowed(self._sorted_out(wave.take(np.flatnonzero(wave.key < self.best))))

    def _moves(self, wave: Wave, begin: int, end: int) -> Wave:
        """All moves of some of the states that may lead to something better."""
        moves = self.packed
        done = [words[begin:end] for words in wave.done]
        setup = wave.setup[begin:end]
        extent = Extent.of(done)
        free, held = ~moves.barred(done, setup, extent), moves.held(done, extent)
        at_once = {
            goal: moves.reached(done, held, goal, free[:, goal], extent)
            for goal, (_, op) in enumerate(moves.goals)
            if op < 0
        }
        self._pass_none(done, setup, at_once, free)
        rows, after = [], []
        safe = np.zeros(len(setup), dtype=bool)
        for goal, (_, op) in enumerate(moves.goals):
            if goal == 0 or moves.goal_setups[goal] != moves.goal_setups[goal - 1]:
                safe = np.zeros(len(setup), dtype=bool)
            if op < 0:
                own, then = at_once[goal]
                safe[own] = True
                may = free[own, goal]
                if not may.all():
                    own, then = own[may], [words[may] for words in then]
            else:
                own, then = moves.reached(done, held, goal, free[:, goal] & ~safe, extent)
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

    def _pass_none(
        self, done: Words, setup: np.ndarray, at_once: dict[int, tuple[np.ndarray, Words]], free: np.ndarray
    ) -> None:
        """Strike out goals that pass by what would cost no less later on."""
        number = {target: n for n, target in enumerate(self.packed.targets)}
        goals = [number[target] for target in self.packed.goal_setups.tolist()]
        struck = self._passing.struck(done, setup, {goals[goal]: found for goal, found in at_once.items()})
        for goal, target in enumerate(goals):
            free[:, goal] &= (struck & np.uint64(1 << target)) == 0

    def _log(self, wave: Wave) -> None:
        self._begins.append(self._kept)
        self._logged.append((wave.done, wave.parent))
        self._kept += len(wave)

    def _sort_in(self, found: Wave, waiting: dict[int, list[Wave]]) -> None:
        """Put states aside until their level comes."""
        if not len(found):
            return
        found.parent += self._begins[-1]
        counts = sum(np.bitwise_count(words).astype(np.int64) for words in found.done)
        order = np.argsort(counts, kind="stable")
        levels, begins = np.unique(np.asarray(counts)[order], return_index=True)
        for level, rows in zip(levels.tolist(), np.split(order, begins[1:]), strict=True):
            waiting.setdefault(level, []).append(found.take(rows))

    def _unfold(self, parent: int, setup: int) -> list[int]:  # noqa: ARG002 - what was done tells more
        """The order that leads to a state, from what was done on the way."""
        sets, row = [self.job.all], parent + self._begins[-1]
        while True:
            level = bisect_right(self._begins, row) - 1
            done, parents = self._logged[level]
            own = row - self._begins[level]
            sets.append(sum(int(words[own]) << WORD * number for number, words in enumerate(done)))
            if not level:
                return in_steps(self.job, sets[::-1], self.packed.safe)
            row = int(parents[own])


def in_steps(job: Job, sets: Sequence[int], safe: int) -> list[int]:
    """An order through sets of operations, each with more than the one before: what is not safe first."""
    order: list[int] = []
    for before, then in pairwise(sets):
        first = then & ~before & ~safe
        order += [*members(first), *in_sequence(job, before | first, then & ~before & ~first)]
    return order
