"""Waves for a job with rules about gaps: exact when nothing was cut off, else a good order and a bound."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD
from sequencer.engine.base.trace import in_sequence
from sequencer.engine.gaps.moves import GapMoves
from sequencer.engine.waves.wave import Wave, Waves

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.base.job import Job
    from sequencer.engine.gaps.passing import Passing
    from sequencer.engine.stop import Budget


class GapWaves(Waves):
    """One run over all waves; a ``whole`` one ends where there are more states than may be kept."""

    packed: GapMoves

    def __init__(
        self,
        moves: GapMoves,
        width: int,
        cutoff: int,
        budget: Budget,
        *,
        whole: bool = False,
        passing: Passing | None = None,
    ) -> None:
        super().__init__(moves, width, cutoff, budget)
        self.whole = whole
        self._passing = passing
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
        at_once = {
            goal: moves.reached(done, held, goal, free[:, goal])
            for goal, (_, op) in enumerate(moves.goals)
            if op < 0
        }
        if self._passing is not None:
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
                own, then = moves.reached(done, held, goal, free[:, goal] & ~safe)
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
        assert self._passing is not None
        number = {target: n for n, target in enumerate(self.packed.targets)}
        goals = [number[target] for target in self.packed.goal_setups.tolist()]
        struck = self._passing.struck(done, setup, {goals[goal]: found for goal, found in at_once.items()})
        for goal, target in enumerate(goals):
            free[:, goal] &= (struck & np.uint64(1 << target)) == 0

    def _unfold(self, parent: int, setup: int) -> list[int]:  # noqa: ARG002 - what was done tells more
        """The order that leads to a state, from what was done on the way."""
        sets = [self.job.all]
        for done, (parents, _) in zip(reversed(self._done), reversed(self._steps), strict=True):
            sets.append(sum(int(words[parent]) << WORD * number for number, words in enumerate(done)))
            parent = int(parents[parent])
        return in_steps(self.job, sets[::-1], self.packed.safe)


def in_steps(job: Job, sets: Sequence[int], safe: int) -> list[int]:
    """An order through sets of operations, each with more than the one before: what is not safe first."""
    order: list[int] = []
    for before, then in pairwise(sets):
        first = then & ~before & ~safe
        order += [*members(first), *in_sequence(job, before | first, then & ~before & ~first)]
    return order
