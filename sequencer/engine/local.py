"""Local search on whole orders: exchanging neighbouring segments while every precedence is kept.

Two segments that follow each other change places, i.e. one part of the order moves on as it is, without
being turned round; that suits costs that differ with the direction (Or 1976; for sequential ordering
Gambardella and Dorigo 2000). All exchanges of an order are priced at once with numpy; the best is made until
none is left, then a few at random begin the next descent. Random numbers come from a fixed seed, so that runs
can be repeated.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.bits import members

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.job import Job
    from sequencer.engine.stop import Budget

KICKS = 4
"""Random exchanges between two descents."""

RETURN = 150
"""Descents without a better order after which the search goes back to the best."""

ALLOW = 0.003
"""How much dearer the next order to start from may be, as a share of the best cost."""

LONGEST = 50
"""The longest segment in a random exchange."""


class SegmentExchange:
    """Descents from one order to the next, for a job without choices in its clauses."""

    def __init__(self, job: Job) -> None:
        n = job.size
        self._size = n
        setups = np.array(job.setups)
        matrix = np.array(job.costs.changes, dtype=np.int64)
        # places 0 and n + 1 stand for the beginning and the end
        self._cost = np.zeros((n + 2, n + 2), dtype=np.int64)
        self._cost[1 : n + 1, 1 : n + 1] = matrix[setups[:, None], setups[None, :]]
        self._cost[0, 1 : n + 1] = np.array(job.costs.starts, dtype=np.int64)[setups]
        self._before = np.zeros((n + 2, n + 2), dtype=bool)
        for op, ancestors in enumerate(job.ancestors):
            for other in members(ancestors):
                self._before[other + 1, op + 1] = True
        self._random = random.Random(1)  # noqa: S311

    def search(self, order: Sequence[int], rounds: int, budget: Budget) -> tuple[list[int], int]:
        """The best order found in so many descents, and its cost; one round counts as its size in states."""
        best = current = self._descend(self._placed(order))
        cost = known = self._of(best)
        since = 0
        for _ in range(rounds):
            if budget.spend(self._size):
                break
            trial = self._descend(self._kicked(current))
            worth = self._of(trial)
            if worth <= known + ALLOW * cost * self._random.random() ** 2:
                current, known = trial, worth
            if worth < cost:
                best, cost, since = trial, worth, 0
            since += 1
            if since % RETURN == 0:
                current, known = best, cost
        return [int(place) - 1 for place in best[1:-1]], int(cost)

    def _placed(self, order: Sequence[int]) -> np.ndarray:
        return np.array([0, *(op + 1 for op in order), self._size + 1])

    def _of(self, sequence: np.ndarray) -> int:
        return int(self._cost[sequence[:-1], sequence[1:]].sum())

    def _barred(self, sequence: np.ndarray) -> np.ndarray:
        """[a, j]: the first place after j that what is at a has to precede; past the end if none."""
        n = len(sequence)
        place = np.where(self._before[np.ix_(sequence, sequence)], np.arange(n)[None, :], n)
        first = np.full((n, n), n, dtype=np.int64)
        first[:, :-1] = np.minimum.accumulate(place[:, ::-1], axis=1)[:, ::-1][:, 1:]
        return first

    def _descend(self, sequence: np.ndarray) -> np.ndarray:
        """Make the best exchange until none makes the order cheaper."""
        while True:
            gain, i, j, k = self._best(sequence)
            if gain <= 0:
                return sequence
            sequence = _exchanged(sequence, i, j, k)

    def _best(self, sequence: np.ndarray) -> tuple[int, int, int, int]:
        """The exchange of places i + 1 … j with j + 1 … k that gains most."""
        n = len(sequence)
        cost = self._cost[np.ix_(sequence, sequence)]
        step = np.append(cost[np.arange(n - 1), np.arange(1, n)], 0)
        barred = self._barred(sequence)
        limit = np.full(n, n, dtype=np.int64)
        places = np.arange(n)
        follows = np.roll(cost, -1, axis=1)  # [j, k]: from place j to place k + 1
        best = (0, 0, 0, 0)
        for i in range(n - 4, -1, -1):
            limit = np.minimum(limit, barred[i + 1])
            rows = slice(i + 1, n - 2)
            gain = (
                (step[i] + step[rows] - np.roll(cost[i], -1)[rows])[:, None]
                + (step - cost[:, i + 1])[None, :]
                - follows[rows]
            )
            allowed = (places[None, :] > places[rows, None]) & (places[None, :] < limit[rows, None])
            allowed[:, n - 1] = False
            gain = np.where(allowed, gain, 0)
            at = int(np.argmax(gain))
            value = int(gain.flat[at])
            if value > best[0]:
                best = (value, i, i + 1 + at // n, at % n)
        return best

    def _kicked(self, sequence: np.ndarray) -> np.ndarray:
        """After some random exchanges that keep every precedence."""
        made = 0
        for _ in range(20 * KICKS):
            n = len(sequence)
            i = self._random.randrange(0, max(1, n - 3))
            j = min(n - 3, i + self._random.randint(1, LONGEST))
            k = min(n - 2, j + self._random.randint(1, LONGEST))
            if not i < j < k:
                continue
            first, second = sequence[i + 1 : j + 1], sequence[j + 1 : k + 1]
            if not self._before[np.ix_(first, second)].any():
                sequence = _exchanged(sequence, i, j, k)
                made += 1
                if made == KICKS:
                    break
        return sequence


def _exchanged(sequence: np.ndarray, i: int, j: int, k: int) -> np.ndarray:
    return np.concatenate(
        (sequence[: i + 1], sequence[j + 1 : k + 1], sequence[i + 1 : j + 1], sequence[k + 1 :])
    )
