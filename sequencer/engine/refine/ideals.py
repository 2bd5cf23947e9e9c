"""A job with some of its operations left out, as the table of its ideals.

Leave operations out of an order and it costs no more (costs closed), so that the job of the ``kept``
operations alone is a bound on the whole. What can be done of them at some time, an ideal of their partial
order, is a row of the table: few chains have few ideals, whatever their length. Operations are taken in one
after the other; every ideal then becomes one or two. Ideals that can't be part of anything below a limit are
dropped on the way, so that the table stays small though more and more of the job is in it.

This is coarse-to-fine dynamic programming (Raphael 2001, IEEE Trans. Pattern Analysis and Machine
Intelligence 23) on the relaxation by fewer elements, which grows where its answer lacks something
(decremental state space relaxation, Righini and Salani 2008, Networks 51).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD, needed, parts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.base.job import Job

COUNT, DIGITS = 54, 44
"""Where a key holds the number of operations, and of how many random bits each one's number is: the sum of a
thousand of them stays below."""

MOST = 1 << WORD - COUNT
"""Operations that a job may have, and one more."""

SAMPLE = 1 << 14
"""Ideals looked at to guess how many more an operation would make."""


class Ideals:
    """Rows: ideals that may still be of use, few operations first; columns: the set-ups that have operations.

    An ideal's key is the sum of its operations' numbers, so that a neighbour's is one addition away. A number
    is 1 above random digits, so that rows in the sequence of their keys have few operations first, and a step
    from row to row keeps the sequence: looking up neighbours goes through memory once.

    Attributes:
        job: The whole job, of fewer than ``MOST`` operations.
        kept: The operations in the table, as bits.
        words: The ideals, in words of bits.
        open: For each row and column whether an order below the limit may pass through it; None: all may.
        layers: Where the ideals of 0, 1, 2 … operations begin, and where the last end.
    """

    def __init__(self, job: Job) -> None:
        """A table of nothing but the empty ideal."""
        self.job = job
        self.kept = 0
        self.words: Words = [np.zeros(1, dtype=np.uint64) for _ in range(needed(job.size))]
        self.open: np.ndarray | None = None
        self.column = {setup: number for number, (setup, _) in enumerate(job.visited)}
        self._draws = 0
        self._draw()
        self._keys = np.zeros(1, dtype=np.uint64)
        self._sort()

    def __len__(self) -> int:
        return len(self._keys)

    def has(self, mask: int, step: int = 1) -> np.ndarray:
        """Which ideals hold all of ``mask``; with a ``step``, of every so many."""
        held = np.ones(-(-len(self) // step), dtype=bool)
        for word, part in parts(mask):
            held &= (self.words[word][::step] & part) == part
        return held

    def free(self, mask: int, step: int = 1) -> np.ndarray:
        """Which ideals hold none of ``mask``; with a ``step``, of every so many."""
        clear = np.ones(-(-len(self) // step), dtype=bool)
        for word, part in parts(mask):
            clear &= (self.words[word][::step] & part) == 0
        return clear

    def growth(self, op: int) -> float:
        """The share of the ideals that would become two with ``op``; of a sample where there are many."""
        step = max(1, len(self) // SAMPLE)
        before, after = self.job.ancestors[op] & self.kept, self.job.descendants[op] & self.kept
        both = self.has(before, step) & self.free(after, step)
        return float(both.mean())

    def take_in(self, ops: Sequence[int], enough: int, most: int) -> int:
        """Keep operations as well, in this sequence, until there are ``enough`` ideals.

        One that would make them more than ``most`` is passed by.

        Returns:
            How many were taken in.
        """
        taken = 0
        for op in ops:
            taken += self._take_in(op, most)
            if len(self) >= enough:
                break
        if taken:
            self._sort()
        return taken

    def _take_in(self, op: int, most: int) -> bool:
        word, bit = op // WORD, np.uint64(1 << op % WORD)
        forced = ~self.free(self.job.descendants[op] & self.kept)
        twice = np.flatnonzero(self.has(self.job.ancestors[op] & self.kept) & ~forced)
        if len(self) + len(twice) > most:
            return False
        self.words[word] = self.words[word] | (forced * bit)
        self._keys = self._keys + forced * self.numbers[op]
        more = [words[twice] for words in self.words]
        more[word] = more[word] | bit
        self.words = [np.concatenate(pair) for pair in zip(self.words, more, strict=True)]
        self._keys = np.concatenate((self._keys, self._keys[twice] + self.numbers[op]))
        if self.open is not None:
            self.open = np.concatenate((self.open, self.open[twice]))
        self.kept |= 1 << op
        return True

    def keep(self, still: np.ndarray) -> np.ndarray:
        """Drop the ideals that nothing below the limit passes through; the rows that are left."""
        rows = np.flatnonzero(still.any(axis=1))
        self.words = [words[rows] for words in self.words]
        self._keys = self._keys[rows]
        self.open = still[rows]
        self._lay()
        return rows

    def _draw(self) -> None:
        random = np.random.default_rng(self._draws)
        self._draws += 1
        numbers = random.integers(0, 1 << DIGITS, size=self.job.size, dtype=np.uint64)
        self.numbers = numbers + np.uint64(1 << COUNT)

    def _sort(self) -> None:
        """Bring the rows into the sequence of their keys; with other numbers if two have the same."""
        while True:
            order = np.argsort(self._keys)
            self._keys = self._keys[order]
            self.words = [words[order] for words in self.words]
            if self.open is not None:
                self.open = self.open[order]
            if (self._keys[1:] != self._keys[:-1]).all():
                break
            self._draw()
            self._keys = np.zeros(len(order), dtype=np.uint64)
            for op in members(self.kept):
                self._keys += self.has(1 << op) * self.numbers[op]
        self._lay()

    def _lay(self) -> None:
        counts = self._keys >> np.uint64(COUNT)
        self.layers = np.searchsorted(counts, np.arange(int(counts[-1]) + 2, dtype=np.uint64))

    def rows_of(self, words: Words, keys: np.ndarray) -> np.ndarray:
        """The rows of ideals given by words and keys; −1 for those that are not in the table."""
        rows = np.searchsorted(self._keys, keys)
        np.minimum(rows, len(self) - 1, out=rows)
        same = self._keys[rows] == keys
        for own, asked in zip(self.words, words, strict=True):
            same &= own[rows] == asked
        rows[~same] = -1
        return rows

    def steps(self, op: int, barred: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
        """The rows in which ``op`` can be done and is not ``barred``, and those in which it then has been.

        Without those from which nothing below the limit goes to its set-up.
        """
        ready = self.free(1 << op) & self.has(self.job.ancestors[op] & self.kept)
        if barred is not None:
            ready &= ~barred
        rows = np.flatnonzero(ready)
        if self.open is not None:
            rows = rows[self.open[rows, self.column[self.job.setups[op]]]]
        after = [words[rows] for words in self.words]
        after[op // WORD] = after[op // WORD] | np.uint64(1 << op % WORD)
        then = self.rows_of(after, self._keys[rows] + self.numbers[op])
        known = then >= 0
        return rows[known], then[known]
