"""Waves by how much is done: no set of operations is met twice, whatever the ways that lead to it.

Waves by visits meet the same set after different numbers of visits, where some on the way were free. Here all
states with the same number of operations done come at once, and only the cheapest of each is kept. None that
has done less is held against one that has done more; instead what would be behind is not gone to
(``passing``). That suits the proof; to find an order soon, waves by visits do better.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bitsets import WORD
from sequencer.engine.gaps.waves import GapWaves, in_steps
from sequencer.engine.waves.beam import BeamResult
from sequencer.engine.waves.wave import CHUNK, Wave, Waves, joined

if TYPE_CHECKING:
    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.gaps.moves import GapMoves
    from sequencer.engine.gaps.passing import Passing
    from sequencer.engine.stop import Budget


class Levels(GapWaves):
    """One run over all levels, which ends where there are more states at once than may be kept."""

    def __init__(
        self,
        moves: GapMoves,
        passing: Passing,
        width: int,
        cutoff: int,
        budget: Budget,
        *,
        whole: bool = True,
    ) -> None:
        super().__init__(moves, width, cutoff, budget, whole=whole, passing=passing)
        self._begins: list[int] = []
        self._logged: list[tuple[Words, np.ndarray]] = []
        self._kept = 0

    def run(self) -> BeamResult:
        """The best order below the cutoff and the proof; or a bound, where it had to end before."""
        waiting: dict[int, list[Wave]] = {0: [self._beginning()]}
        for done in range(self.job.size):
            wave = self._level(waiting.pop(done, []))
            if not len(wave):
                continue
            if (self.whole and len(wave) > self.width) or self.budget.spend(min(len(wave), self.width)):
                left = [wave, *(piece for pieces in waiting.values() for piece in pieces)]
                self.cut = min(self.cut, *(int(piece.key.min()) for piece in left if len(piece)))
                break
            wave = Waves._narrowed(self, wave)  # noqa: SLF001
            self.widest = max(self.widest, len(wave))
            self._log(wave)
            for begin in range(0, len(wave), CHUNK):
                self._sort_in(self._moves(wave, begin, min(begin + CHUNK, len(wave))), waiting)
        return BeamResult(self.order, self.best, min(self.best, self.cut))

    def _level(self, pieces: list[Wave]) -> Wave:
        """All states of a level that may lead to something better, each once."""
        wave = joined(pieces) if pieces else self._beginning().take(np.zeros(0, dtype=np.int64))
        return self._sorted_out(wave.take(np.flatnonzero(wave.key < self.best)))

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
