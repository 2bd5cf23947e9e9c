"""The bound of ``cuts`` for thousands of states: how often each priced group is entered, by tables of bytes.

What one undone operation calls for is a row of numbers, one a group; a state calls for the greatest of its
operations' numbers, group by group. For every eight operations and each of their 256 subsets the greatest
are kept in a table, so that a state takes one look-up for every eight operations.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import octets, parts, split

if TYPE_CHECKING:
    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.bounds.cuts import Cuts

ROWS = 1024
"""States looked up together: few enough for the processor's cache."""

MOST_KEPT = 64_000_000
"""Bytes up to which the tables of all set-ups are kept; beyond, each is made anew when it is asked for."""


class Tables:
    """The tables of one job and its cuts; with a group present the first run in it is free."""

    def __init__(self, cuts: Cuts) -> None:
        self.priced = len(cuts.priced)
        self._prices = np.array([price for price, *_ in cuts.priced], dtype=float)
        groups = [group for _, group, _, _ in cuts.priced]
        self._inside = np.array(
            [[bool(group >> setup & 1) for group in groups] for setup in range(len(cuts.potentials))],
            dtype=bool,
        ).reshape(len(cuts.potentials), self.priced)
        most = max((len(enter) for _, _, enter, _ in cuts.priced), default=0)
        self._small = np.uint8 if most < 256 else np.uint16
        self._octets = max(1, -(-cuts.all.bit_length() // 8))
        self._enter = self._counts([enter for _, _, enter, _ in cuts.priced])
        self._stay = self._counts([stay for _, _, _, stay in cuts.priced])
        self._known: dict[int, np.ndarray] = {}
        each = self._octets * 256 * self.priced * np.dtype(self._small).itemsize
        self._keep = each * len(cuts.potentials) <= MOST_KEPT

    def entries_priced(self, undone: np.ndarray, present: int) -> np.ndarray:
        """Σ price × entries for states, given by their undone operations in bytes, all in one set-up."""
        table = self._table(present)
        total = np.zeros(len(undone), dtype=np.int64)
        for begin in range(0, len(undone), ROWS):
            rows = undone[begin : begin + ROWS]
            most = table[0][rows[:, 0]]
            for number in range(1, self._octets):
                np.maximum(most, table[number][rows[:, number]], out=most)
            # sums of whole numbers below 2^53: exact in doubles, which multiply faster
            total[begin : begin + ROWS] = most.astype(float) @ self._prices
        return total

    def _counts(self, levels: list[tuple[int, ...]]) -> np.ndarray:
        """For each operation (eight in a row) and group, on how many levels it is."""
        counts = np.zeros((self._octets * 8, self.priced), dtype=self._small)
        for group, own in enumerate(levels):
            for level in own:
                counts[list(members(level)), group] += 1
        return counts.reshape(self._octets, 8, self.priced)

    def _table(self, present: int) -> np.ndarray:
        table = self._known.get(present)
        if table is None:
            counts = np.where(self._inside[present], self._stay, self._enter)
            table = np.zeros((self._octets, 256, self.priced), dtype=self._small)
            for bit in range(8):
                half = 1 << bit
                table[:, half : 2 * half] = np.maximum(table[:, :half], counts[:, bit : bit + 1])
            if self._keep:
                self._known[present] = table
        return table


class PackedCuts:
    """The bound of ``cuts`` for batches of states; the same numbers, state for state."""

    def __init__(self, cuts: Cuts, setups: np.ndarray | None = None) -> None:
        """Make the tables; ``setups``: for each set-up of the states that of the cuts, if it is another."""
        self._cuts = cuts
        self._setups = setups
        self._potentials = np.array(cuts.potentials, dtype=np.int64)
        self._tables = Tables(cuts)

    def bound(self, done: Words, present: np.ndarray) -> np.ndarray:
        """The bound on the changes to come, for every state of a batch; ``present`` holds the set-ups."""
        every = split(self._cuts.all, len(done))
        if self._setups is not None:
            present = self._setups[present]
        undone = [~words & np.uint64(mask) for words, mask in zip(done, every, strict=True)]
        total = self._potentials[present]
        if self._tables.priced:
            rows = octets(undone)
            ends = [*(np.flatnonzero(np.diff(present)) + 1).tolist(), len(present)]
            begin = 0
            for end in ends:
                total[begin:end] += self._tables.entries_priced(rows[begin:end], int(present[begin]))
                begin = end
        bound: np.ndarray = np.maximum(0, -((self._last(undone) - total) // self._cuts.fine))
        bound[~_some(undone, self._cuts.all)] = 0
        return bound

    def _last(self, undone: Words) -> np.ndarray:
        """The greatest potential of a set-up that an order may end in, for every state."""
        last = np.full(len(undone[0]), self._cuts.lasts[-1][0], dtype=np.int64)
        for potential, ops in reversed(self._cuts.lasts[:-1]):
            last[_some(undone, ops)] = potential
        return last


def _some(undone: Words, mask: int) -> np.ndarray:
    """Whether any of ``mask`` is undone, for every state."""
    some = np.zeros(len(undone[0]), dtype=bool)
    for word, part in parts(mask):
        some |= (undone[word] & part) != 0
    return some
