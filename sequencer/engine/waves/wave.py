"""The search in waves: all states after so many visits at once, with numpy; exact when nothing was cut off.

With a ``width`` it is a beam; where more states stay below the best cost than may be kept, the most
promising are. Every order cheaper than the best passes through a kept state of each wave or a cut one, so the
least key of the cut ones bounds what is left.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bitsets import WORD, split
from sequencer.engine.base.packed import Packed
from sequencer.engine.base.trace import in_sequence
from sequencer.engine.waves.beam import BeamResult

if TYPE_CHECKING:
    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.stop import Budget

CHUNK = 1 << 15
"""States expanded together: few enough for the processor's cache."""

MIX = 0x9E3779B97F4A7C15
"""An odd number with well-spread bits (2^64 over the golden ratio), to mix done-sets for sorting."""


@dataclass
class Wave:
    """States after the same number of visits: done-sets, set-ups, costs, keys, and from where."""

    done: Words
    setup: np.ndarray
    cost: np.ndarray
    key: np.ndarray
    parent: np.ndarray

    def __len__(self) -> int:
        return len(self.setup)

    def take(self, rows: np.ndarray) -> Wave:
        """Some of the states."""
        return Wave(
            [words[rows] for words in self.done],
            self.setup[rows],
            self.cost[rows],
            self.key[rows],
            self.parent[rows],
        )


class Waves:
    """One run over all waves."""

    def __init__(self, packed: Packed, width: int, cutoff: int, budget: Budget) -> None:
        self.packed = packed
        self.job = packed.job
        self.width = width
        self.budget = budget
        self.best = cutoff
        self.cut = cutoff
        self.order: list[int] | None = None
        self._steps: list[tuple[np.ndarray, np.ndarray]] = []

    def run(self) -> BeamResult:
        """The best order below the cutoff that survives, and the bound."""
        wave = self._beginning()
        while len(wave):
            wave = self._narrowed(wave)
            if not len(wave):
                break
            if self.budget.spend(len(wave)):
                self.cut = min(self.cut, int(wave.key.min()))
                break
            self._steps.append((wave.parent, wave.setup))
            wave = self._following(wave)
        return BeamResult(self.order, self.best, min(self.best, self.cut))

    def _beginning(self) -> Wave:
        none = np.zeros(1, dtype=np.int64)
        done = [np.zeros(1, dtype=np.uint64) for _ in range(self.packed.words)]
        return Wave(done, np.full(1, -1, dtype=np.int16), none, none, none.astype(np.int32))

    def _narrowed(self, wave: Wave) -> Wave:
        """The states that may still lead to something better; the most promising ``width`` of them."""
        wave = wave.take(np.flatnonzero(wave.key < self.best))
        if len(wave) <= self.width:
            return wave
        ranked = np.lexsort((-wave.cost, wave.key))
        self.cut = min(self.cut, int(wave.key[ranked[self.width]]))
        return wave.take(np.sort(ranked[: self.width]))

    def _following(self, wave: Wave) -> Wave:
        """The next wave: moves of all states, the cheapest arrival of each kept."""
        pieces = []
        for begin in range(0, len(wave), CHUNK):
            pieces.append(self._moves(wave, begin, min(begin + CHUNK, len(wave))))
            rest = wave.key[begin + CHUNK :]
            if len(rest) and self.budget.late:
                self.cut = min(self.cut, int(rest.min()))
                break
        return self._sorted_out(joined(pieces))

    def _sorted_out(self, wave: Wave) -> Wave:
        """The states by set-up, the cheapest arrival of each kept."""
        wave = wave.take(np.argsort(wave.setup, kind="stable"))
        return self._pruned(wave) if len(wave) else wave

    def _moves(self, wave: Wave, begin: int, end: int) -> Wave:
        """All moves of some of the states that may lead to something better."""
        packed = self.packed
        done = [words[begin:end] for words in wave.done]
        setup, cost = wave.setup[begin:end], wave.cost[begin:end]
        after, ready = [], []
        for target in packed.targets:
            then = packed.exhaust(done, target)
            moved = then[0] != done[0]
            for a, b in zip(then[1:], done[1:], strict=True):
                moved |= a != b
            after.append(then)
            ready.append(moved)
        self._pass_none_by(setup, ready)
        rows = [np.flatnonzero(moved) for moved in ready]
        counts = [len(own) for own in rows]
        if not sum(counts):
            return wave.take(rows[0])
        origin = np.concatenate(rows)
        words = [
            np.concatenate([then[word][own] for then, own in zip(after, rows, strict=True)])
            for word in range(packed.words)
        ]
        present = np.repeat(np.array(packed.targets, dtype=np.int16), counts)
        spent = cost[origin] + packed.table[setup[origin], present]
        key = np.maximum(wave.key[origin + begin], spent + packed.bound(words, present))
        parents = (origin + begin).astype(np.int32)
        found = Wave(words, present, spent, key, parents)
        return self._unfinished(found.take(np.flatnonzero(key < self.best)))

    def _pass_none_by(self, setup: np.ndarray, ready: list[np.ndarray]) -> None:
        """Strike out moves that pass by a set-up on the way with something ready in it."""
        if len(ready) > WORD:
            return
        bits = np.zeros(len(setup), dtype=np.uint64)
        for number, moved in enumerate(ready):
            bits |= moved.astype(np.uint64) << np.uint64(number)
        for number in range(len(ready)):
            ready[number] &= (bits & self.packed.passing[setup, number]) == 0

    def _unfinished(self, piece: Wave) -> Wave:
        """Without finished orders, the best of which is taken note of."""
        finished = np.ones(len(piece), dtype=bool)
        for words, mask in zip(piece.done, split(self.job.all, self.packed.words), strict=True):
            finished &= words == np.uint64(mask)
        if not finished.any():
            return piece
        rows = np.flatnonzero(finished)
        row = rows[np.argmin(piece.cost[rows])]
        if piece.cost[row] < self.best:
            self.best = int(piece.cost[row])
            self.order = self._unfold(int(piece.parent[row]), int(piece.setup[row]))
        return piece.take(np.flatnonzero(~finished))

    def _unfold(self, parent: int, setup: int) -> list[int]:
        """The order that leads to a state, from the set-ups on the way."""
        visits = [setup]
        for parents, setups in reversed(self._steps):
            if setups[parent] >= 0:
                visits.append(int(setups[parent]))
            parent = int(parents[parent])
        order: list[int] = []
        done, ready = 0, self.job.first
        for visit in reversed(visits):
            after, ready = self.job.exhaust(done, ready, visit)
            order += in_sequence(self.job, done, after & ~done)
            done = after
        return order

    def _pruned(self, piece: Wave) -> Wave:
        """States without doubles, the cheapest of each."""
        mixed = (piece.done[0] ^ piece.setup.astype(np.uint64)) * np.uint64(MIX)
        for words in piece.done[1:]:
            mixed = (mixed ^ (mixed >> np.uint64(29)) ^ words) * np.uint64(MIX)
        order = np.argsort(mixed)
        fresh = np.ones(len(piece), dtype=bool)
        fresh[1:] = mixed[order[1:]] != mixed[order[:-1]]
        for words in (piece.setup, *piece.done):
            fresh[1:] |= words[order[1:]] != words[order[:-1]]
        # the cheapest of each lot of doubles, the first of equals
        starts = np.flatnonzero(fresh)
        least = np.minimum.reduceat(piece.cost[order], starts)
        cheap = piece.cost[order] == np.repeat(least, np.diff(np.append(starts, len(piece))))
        rows = np.minimum.reduceat(np.where(cheap, order, len(piece)), starts)
        return piece.take(np.sort(rows))


def joined(pieces: list[Wave]) -> Wave:
    """All states in one."""
    return Wave(
        [np.concatenate(words) for words in zip(*(piece.done for piece in pieces), strict=True)],
        np.concatenate([piece.setup for piece in pieces]),
        np.concatenate([piece.cost for piece in pieces]),
        np.concatenate([piece.key for piece in pieces]),
        np.concatenate([piece.parent for piece in pieces]),
    )


def waves(packed: Packed, width: int, cutoff: int, budget: Budget) -> BeamResult:
    """The best order found with ``width`` states kept a visit; proven when its bound is its cost."""
    return Waves(packed, width, cutoff, budget).run()
