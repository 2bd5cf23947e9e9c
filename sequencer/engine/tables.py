"""How often each priced group is still entered, for thousands of states, by tables of bytes.

What one undone operation calls for is a row of numbers, one a group; a state calls for the greatest of its
operations' numbers, group by group. For every eight operations and each of their 256 subsets the greatest
are kept in a table, so that a state takes one look-up for every eight operations.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.bits import members

if TYPE_CHECKING:
    from sequencer.engine.cuts import Cuts

ROWS = 1024
"""States looked up together: few enough for the processor's cache."""

MOST_KEPT = 64_000_000
"""Bytes up to which the tables of all set-ups are kept; beyond, each is made anew when it is asked for."""


class Tables:
    """The tables of one job and its cuts; with a group present the first run in it is free."""

    def __init__(self, cuts: Cuts, size: int) -> None:
        self.priced = len(cuts.priced)
        self._prices = np.array([price for price, *_ in cuts.priced], dtype=float)
        groups = [group for _, group, _, _ in cuts.priced]
        self._inside = np.array(
            [[bool(group >> setup & 1) for group in groups] for setup in range(len(cuts.potentials))],
            dtype=bool,
        ).reshape(len(cuts.potentials), self.priced)
        most = max((len(enter) for _, _, enter, _ in cuts.priced), default=0)
        self._small = np.uint8 if most < 256 else np.uint16
        self._octets = max(1, -(-size // 8))
        self._enter = self._counts([enter for _, _, enter, _ in cuts.priced])
        self._stay = self._counts([stay for _, _, _, stay in cuts.priced])
        self._known: dict[int, np.ndarray] = {}
        each = self._octets * 256 * self.priced * np.dtype(self._small).itemsize
        self._keep = each * len(cuts.potentials) <= MOST_KEPT

    def entries_priced(self, octets: np.ndarray, present: int) -> np.ndarray:
        """Σ price × entries for states, given by their undone operations in bytes, all in one set-up."""
        table = self._table(present)
        total = np.zeros(len(octets), dtype=np.int64)
        for begin in range(0, len(octets), ROWS):
            rows = octets[begin : begin + ROWS]
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
