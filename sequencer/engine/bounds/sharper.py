"""Prices set anew while a search goes on, for the states where it stands.

Prices that suit the beginning of a job suit its middle less. Now and then, after enough work to make it
worth while, the linear program is solved on for a sample of the states that a wave holds; where that drops
few states, the next time is longer in coming.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bitsets import WORD
from sequencer.engine.bounds.byte_tables import PackedCuts

if TYPE_CHECKING:
    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.base.packed import Packed, StateBounds
    from sequencer.engine.bounds.pricing import Pricing

SAMPLE, ROUNDS = 16, 3
"""States that prices are set for; rounds of adding groups for them."""

WORK, LEAST, MOST = 3_000_000, 1_500_000, 20_000_000
"""States times set-ups between two settings of prices: at first, and from and to."""

FEW, MANY = 0.05, 0.2
"""Share of the states dropped below which the work between two settings is doubled; above which halved."""

WORSE = 0.995
"""Prices are taken if their bounds on the sample come to no less than this share of the former ones'."""


class Sharper:
    """Keeps one linear program for a job, and the moves and bounds by its latest prices and others'."""

    def __init__(self, pricing: Pricing, packed: Packed, *others: StateBounds) -> None:
        """Begin with the bounds of ``packed``.

        Args:
            pricing: The program, for a job whose set-ups are those of the states.
            packed: Moves and bounds at first.
            others: Bounds that stay.
        """
        self.pricing = pricing
        self.packed = packed
        self._others = others
        self._between = WORK
        self._done = 0

    def due(self, size: int, width: int) -> bool:
        """Whether a wave of so many states, of which ``width`` are kept, is where to set prices."""
        self._done += min(size, width) * len(self.packed.targets)
        return size > SAMPLE and self._done >= self._between

    def bound(self, done: Words, present: np.ndarray, key: np.ndarray) -> np.ndarray:
        """The bounds of a wave by prices that suit it."""
        rows = np.argsort(key, kind="stable")[np.linspace(0, len(key) - 1, SAMPLE).astype(np.int64)]
        states = [
            (sum(int(words[row]) << WORD * number for number, words in enumerate(done)), int(present[row]))
            for row in rows
        ]
        cuts = PackedCuts(self.pricing.again(states, ROUNDS).on(self.pricing.job))
        fresh = self.packed.bounded(cuts, *self._others)
        before = self.packed.bound([words[rows] for words in done], present[rows]).sum()
        bound = fresh.bound(done, present)
        if bound[rows].sum() >= WORSE * before:
            self.packed = fresh
        return bound

    def note(self, size: int, left: int, gain: int) -> None:
        """Take note of what a setting has done: states before and after."""
        self._done = 0
        if gain <= 0 and left > (1 - FEW) * size:
            self._between = min(MOST, 2 * self._between)
        elif left < (1 - MANY) * size:
            self._between = max(LEAST, self._between // 2)
