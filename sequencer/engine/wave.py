"""The search in waves: all states after so many visits at once, with numpy; exact when nothing was cut off.

With a ``width`` it is a beam; where more states stay below the best cost than may be kept, the most
promising are. Every order cheaper than the best passes through a kept state of each wave or a cut one, so the
least key of the cut ones bounds what is left.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sequencer.engine.beam import Found
from sequencer.engine.packed import Packed
from sequencer.engine.trace import in_sequence

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import numpy as np

    from sequencer.engine.job import Job
    from sequencer.engine.packed import Words
    from sequencer.engine.stop import Budget

CHUNK = 1 << 15
"""States expanded together: few enough for the processor's cache."""

ELITE, LOT, PAYS = 1024, 32, 50
"""States of a set-up that others are held against, to drop those that are behind in every respect: so many at
the most, in lots, and no further when a lot drops less than one in ``PAYS``."""

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
        self.np = packed.np
        self.packed = packed
        self.job = packed.job
        self.width = width
        self.budget = budget
        self.best = cutoff
        self.cut = cutoff
        self.order: list[int] | None = None
        self._steps: list[tuple[np.ndarray, np.ndarray]] = []

    def run(self, improved: Callable[[list[int], int], None] | None = None) -> Found:
        """The best order below the cutoff that survives, and the bound."""
        wave = self._beginning()
        while len(wave):
            wave = self._narrowed(wave)
            if self.budget.spend(len(wave)):
                self.cut = min(self.cut, int(wave.key.min()))
                break
            self._steps.append((wave.parent, wave.setup))
            known = self.best
            wave = self._following(wave)
            if improved is not None and self.best < known and self.order is not None:
                improved(self.order, self.best)
        return Found(self.order, self.best, min(self.best, self.cut))

    def _beginning(self) -> Wave:
        np = self.np
        none = np.zeros(1, dtype=np.int64)
        done = [np.zeros(1, dtype=np.uint64) for _ in range(self.packed.words)]
        return Wave(done, np.full(1, -1, dtype=np.int16), none, none, none.astype(np.int32))

    def _narrowed(self, wave: Wave) -> Wave:
        """The states that may still lead to something better; the most promising ``width`` of them."""
        np = self.np
        wave = wave.take(np.flatnonzero(wave.key < self.best))
        if len(wave) <= self.width:
            return wave
        ranked = np.lexsort((-wave.cost, wave.key))
        self.cut = min(self.cut, int(wave.key[ranked[self.width]]))
        return wave.take(np.sort(ranked[: self.width]))

    def _following(self, wave: Wave) -> Wave:
        """The next wave: moves of all states, the cheapest arrival of each kept."""
        pieces: dict[int, list[Wave]] = {target: [] for target in self.packed.targets}
        for begin in range(0, len(wave), CHUNK):
            for target, piece in self._moves(wave, begin, min(begin + CHUNK, len(wave))):
                pieces[target].append(piece)
            if self.budget.late:
                break
        joined = [self._pruned(_join(self.np, own)) for own in pieces.values() if own]
        return _join(self.np, joined) if joined else wave.take(self.np.zeros(0, dtype=self.np.int64))

    def _moves(self, wave: Wave, begin: int, end: int) -> Iterator[tuple[int, Wave]]:
        np, packed = self.np, self.packed
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
        table = np.vstack((packed.changes, packed.starts))
        for target, then, moved in zip(packed.targets, after, ready, strict=True):
            rows = np.flatnonzero(moved)
            if not len(rows):
                continue
            spent = cost[rows] + table[setup[rows], target]
            words = [w[rows] for w in then]
            key = spent + packed.bound(words, target)
            keep = np.flatnonzero(key < self.best)
            if not len(keep):
                continue
            setups = np.full(len(keep), target, dtype=np.int16)
            parents = (rows[keep] + begin).astype(np.int32)
            piece = Wave([w[keep] for w in words], setups, spent[keep], key[keep], parents)
            piece = self._unfinished(piece)
            if len(piece):
                yield target, piece

    def _pass_none_by(self, setup: np.ndarray, ready: list[np.ndarray]) -> None:
        """Strike out moves that pass by a set-up on the way with something ready in it."""
        np = self.np
        present = [np.flatnonzero(setup == s) for s in range(-1, len(self.job.costs.starts))]
        struck: list[tuple[int, np.ndarray]] = []
        for number, target in enumerate(self.packed.targets):
            for s, rows in enumerate(present, start=-1):
                if not len(rows):
                    continue
                passed = [ready[via][rows] for via in self.packed.passing[target][s]]
                if passed:
                    struck.append((number, rows[np.logical_or.reduce(passed)]))
        for number, rows in struck:
            ready[number][rows] = False

    def _unfinished(self, piece: Wave) -> Wave:
        """Without finished orders, the best of which is taken note of."""
        np = self.np
        finished = np.ones(len(piece), dtype=bool)
        for words, mask in zip(piece.done, self.packed.split(self.job.all), strict=True):
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
        """One set-up's states without doubles and without those that are behind another throughout."""
        np = self.np
        mixed = piece.done[0] * np.uint64(MIX)
        for words in piece.done[1:]:
            mixed = (mixed ^ (mixed >> np.uint64(29)) ^ words) * np.uint64(MIX)
        order = np.argsort(mixed)
        fresh = np.ones(len(piece), dtype=bool)
        fresh[1:] = mixed[order[1:]] != mixed[order[:-1]]
        for words in piece.done:
            fresh[1:] |= words[order[1:]] != words[order[:-1]]
        # the cheapest of each lot of doubles, the first of equals
        starts = np.flatnonzero(fresh)
        least = np.minimum.reduceat(piece.cost[order], starts)
        cheap = piece.cost[order] == np.repeat(least, np.diff(np.append(starts, len(piece))))
        rows = np.minimum.reduceat(np.where(cheap, order, len(piece)), starts)
        piece = piece.take(np.sort(rows))
        return self._leading(piece.take(np.argsort(piece.key, kind="stable")))

    def _leading(self, piece: Wave) -> Wave:
        """Hold the most promising states against the rest; in lots, until it no longer pays."""
        np = self.np
        number = 0
        for _ in range(ELITE // LOT):
            before = len(piece)
            alive = np.ones(before, dtype=bool)
            last = min(before, number + LOT)
            for leader in range(number, last):
                if alive[leader]:
                    behind = piece.cost[leader + 1 :] >= piece.cost[leader]
                    for words in piece.done:
                        behind &= (words[leader + 1 :] & ~words[leader]) == 0
                    alive[leader + 1 :] &= ~behind
            number += int(alive[number:last].sum())
            piece = piece.take(np.flatnonzero(alive))
            if number >= len(piece) or (before - len(piece)) * PAYS < before:
                break
        return piece


def _join(np_module: object, pieces: list[Wave]) -> Wave:
    import numpy as np

    return Wave(
        [np.concatenate(words) for words in zip(*(piece.done for piece in pieces), strict=True)],
        np.concatenate([piece.setup for piece in pieces]),
        np.concatenate([piece.cost for piece in pieces]),
        np.concatenate([piece.key for piece in pieces]),
        np.concatenate([piece.parent for piece in pieces]),
    )


def waves(packed: Packed, width: int, cutoff: int, budget: Budget) -> Found:
    """The best order found with ``width`` states kept a visit; proven when its bound is its cost."""
    return Waves(packed, width, cutoff, budget).run()
