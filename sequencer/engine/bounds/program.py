"""A linear program that grows by columns: the primal simplex method on a dense table, with numpy.

Maximise v·x over x ≥ 0 with A x ≤ c, c ≥ 0 (Dantzig 1963, chapter 5), and add columns to a solved program as
they are found (Gilmore and Gomory 1961). The limits are raised by a hair, each by another, against cycling;
who needs x to keep the limits exactly has to see to it afterwards.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

HAIR = 1e-7
TINY = 1e-8


class Program:
    """The table holds the columns of the free variables only; slack i goes by the number −1 − i."""

    def __init__(self, limits: np.ndarray) -> None:
        """A program with these limits and no variables yet."""
        rows = len(limits)
        scale = max(1.0, float(limits.max(initial=0.0)))
        # a fixed sequence without pattern (golden ratio), so that every run is the same
        spread = (np.arange(1, rows + 1) * 0.6180339887498949) % 1.0
        self.right = limits.astype(float) + scale * HAIR * (0.5 + spread)
        self.table = np.zeros((rows, 0))
        self.gain = np.zeros(0)
        self.free: list[int] = []
        self.basis = [-1 - row for row in range(rows)]
        self.columns = 0
        self.exchanges = 0
        self._values = np.zeros(0)

    def add(self, columns: np.ndarray, values: np.ndarray) -> None:
        """Add variables: a column of A and a value each."""
        place = {variable: number for number, variable in enumerate(self.free)}
        rows = len(self.basis)
        inverse = np.zeros((rows, rows))
        price = np.zeros(rows)
        for row in range(rows):
            spot = place.get(-1 - row)
            if spot is not None:
                inverse[:, row] = self.table[:, spot]
                price[row] = -self.gain[spot]
        for row, variable in enumerate(self.basis):
            if variable < 0:
                inverse[row, -1 - variable] = 1.0
        self.table = np.hstack((self.table, inverse @ columns))
        self.gain = np.concatenate((self.gain, values - price @ columns))
        self.free += range(self.columns, self.columns + len(values))
        self.columns += len(values)
        self._values = np.concatenate((self._values, values))

    def solve(self, most: int, late: Callable[[], bool] = lambda: False) -> bool:
        """Exchange variables until nothing improves; False when ``most`` don't suffice, or it is ``late``.

        What is left then is a solution all the same.
        """
        for _ in range(most):
            if late():
                return False
            self.exchanges += 1
            enter = int(np.argmax(self.gain)) if len(self.gain) else 0
            if not len(self.gain) or self.gain[enter] <= TINY:
                return True
            column = self.table[:, enter]
            rows = np.flatnonzero(column > TINY)
            if not len(rows):  # only by rounding: the programs asked here are bounded
                self.gain[enter] = 0.0
                continue
            leave = int(rows[np.argmin(self.right[rows] / column[rows])])
            self._exchange(leave, enter)
        return False

    def drop(self, beyond: int) -> None:
        """Forget free variables, added after the first ``beyond``, that would make things worse."""
        kept = [n for n, v in enumerate(self.free) if v < beyond or self.gain[n] >= -TINY]
        if len(kept) < len(self.free):
            self.table = np.ascontiguousarray(self.table[:, kept])
            self.gain = self.gain[kept]
            self.free = [self.free[n] for n in kept]

    def solution(self) -> np.ndarray:
        """The values of the variables added."""
        values = np.zeros(self.columns)
        for row, variable in enumerate(self.basis):
            if variable >= 0:
                values[variable] = max(0.0, self.right[row])
        return values

    def value(self) -> float:
        """The sum that is maximised."""
        return float(self._values @ self.solution())

    def duals(self) -> np.ndarray:
        """What raising each limit by one is worth."""
        worth = np.zeros(len(self.basis))
        for number, variable in enumerate(self.free):
            if variable < 0:
                worth[-1 - variable] = max(0.0, -self.gain[number])
        return worth

    def _exchange(self, leave: int, enter: int) -> None:
        column = self.table[:, enter].copy()
        scale = 1.0 / column[leave]
        pivot = self.table[leave] * scale
        pivot[enter] = scale
        level = self.right[leave] * scale
        column[leave] = 0.0
        self.table[:, enter] = 0.0
        rows = np.flatnonzero(np.abs(column) > TINY)
        self.table[rows] -= np.outer(column[rows], pivot)
        self.table[leave] = pivot
        self.right[rows] = np.maximum(0.0, self.right[rows] - column[rows] * level)
        self.right[leave] = level
        gain = self.gain[enter]
        self.gain[enter] = 0.0
        self.gain -= gain * pivot
        self.basis[leave], self.free[enter] = self.free[enter], self.basis[leave]
