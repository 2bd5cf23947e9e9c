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

from sequencer.engine.base.bits import members
from sequencer.engine.problem import Limits
from sequencer.engine.stop import Budget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.job import Job

KICKS = (2, 4)
"""Random exchanges between two descents, from and to."""

RETURN, FAR_OFF = 300, 30
"""Descents without a better order after which the search begins anew, so many exchanges off the best."""

ALLOW = 0.02
"""How much dearer the next order to start from may be, as a share of the best cost."""

FAR = -(1 << 60)
"""Less than any gain."""

LONGEST = 30
"""The longest segment in a random exchange."""


class SegmentExchange:
    """Descents from one order to the next, for a job without choices in its clauses."""

    def __init__(self, job: Job) -> None:
        n = job.size
        self._size = n
        setups = np.array(job.setups)
        matrix = np.array(job.costs.changes, dtype=np.int64)
        # places 0 and n + 1 stand for the beginning and the end
        self.costs = np.zeros((n + 2, n + 2), dtype=np.int64)
        self.costs[1 : n + 1, 1 : n + 1] = matrix[setups[:, None], setups[None, :]]
        self.costs[0, 1 : n + 1] = np.array(job.costs.starts, dtype=np.int64)[setups]
        self.before = np.zeros((n + 2, n + 2), dtype=bool)
        for op, ancestors in enumerate(job.ancestors):
            for other in members(ancestors):
                self.before[other + 1, op + 1] = True
        self.later = np.tri(n + 2, k=-1, dtype=bool)
        self._budget = Budget(Limits())
        self._random = random.Random(1)  # noqa: S311

    def search(self, order: Sequence[int], rounds: int, budget: Budget) -> tuple[list[int], int]:
        """The best order found in so many descents, and its cost; one round counts as its size in states."""
        self._budget = budget
        start = _Way(self, np.array([0, *(op + 1 for op in order), self._size + 1]))
        best = since_best = current = self._descended(start, list(range(self._size + 1)))
        idle = 0
        for _ in range(rounds):
            if budget.spend(self._size):
                break
            idle += 1
            if idle == RETURN:
                current = since_best = self._descended(*self._kicked(best, FAR_OFF))
                idle = 0
            trial = self._descended(*self._kicked(current, self._random.randint(*KICKS)))
            if trial.worth <= current.worth + ALLOW * best.worth * self._random.random() ** 2:
                current = trial
            if trial.worth < since_best.worth:
                since_best, idle = trial, 0
                best = min(best, trial, key=lambda way: way.worth)
        return [int(place) - 1 for place in best.sequence[1:-1]], best.worth

    def _descended(self, way: _Way, fresh: list[int]) -> _Way:
        """Make exchanges that gain, at ``fresh`` nodes and at what is fresh by that, while there are any."""
        while fresh and not self._budget.late:
            node = fresh.pop()
            gain, i, j, k = way.best_at(int(way.place[node]))
            if gain > 0:
                way, ends = self._exchanged(way, i, j, k)
                fresh = [other for other in fresh if other not in ends] + [node] * (node not in ends) + ends
        return way

    def _exchanged(self, way: _Way, i: int, j: int, k: int) -> tuple[_Way, list[int]]:
        """After the exchange, and the nodes whose next one is another now."""
        s = way.sequence
        sequence = np.concatenate((s[: i + 1], s[j + 1 : k + 1], s[i + 1 : j + 1], s[k + 1 :]))
        return _Way(self, sequence), [int(sequence[i]), int(sequence[i + k - j]), int(sequence[k])]

    def _kicked(self, way: _Way, kicks: int) -> tuple[_Way, list[int]]:
        """After some random exchanges that keep every precedence."""
        fresh: list[int] = []
        n = self._size + 2
        made = 0
        for _ in range(20 * kicks):
            i = self._random.randrange(0, max(1, n - 3))
            j = min(n - 3, i + self._random.randint(1, LONGEST))
            k = min(n - 2, j + self._random.randint(1, LONGEST))
            if i < j < k < way.limit[i + 1, j]:
                way, ends = self._exchanged(way, i, j, k)
                fresh += ends
                made += 1
                if made == kicks:
                    break
        return way, fresh


class _Way:
    """An order with all that is needed to price its exchanges; ``limit[i + 1, j]``: k has to stay below."""

    def __init__(self, search: SegmentExchange, sequence: np.ndarray) -> None:
        n = len(sequence)
        self.sequence = sequence
        self.cost = search.costs[sequence[:, None], sequence]
        self.step = np.zeros(n, dtype=np.int64)
        self.step[:-1] = self.cost.diagonal(1)
        self.worth = int(self.step.sum())
        self.place = np.empty(n, dtype=np.int64)
        self.place[sequence] = np.arange(n)
        # [a, b]: b where what is at a has to precede what is at b, else n
        after = np.where(search.before[sequence[:, None], sequence], np.arange(n), n)
        # [a, j]: the first place beyond j that what is at a has to precede
        barred = np.full((n, n), n, dtype=np.int64)
        barred[:, :-1] = np.minimum.accumulate(after[:, ::-1], axis=1)[:, ::-1][:, 1:]
        barred[search.later] = n
        self.limit = np.minimum.accumulate(barred[::-1], axis=0)[::-1]

    def best_at(self, e: int) -> tuple[int, int, int, int]:
        """The best exchange of places i + 1 … j with j + 1 … k where i, j or k is ``e``: (gain, i, j, k)."""
        n = len(self.step)
        step, cost, limit = self.step, self.cost, self.limit
        best = (0, 0, 0, 0)
        places = np.arange(n)
        if e < n - 3:  # i = e; rows j, columns k
            rows, columns = slice(e + 1, n - 2), slice(e + 2, n - 1)
            gain = (step[rows] - cost[e, e + 2 : n - 1])[:, None] - cost[rows, e + 3 : n]
            gain += step[columns] - cost[columns, e + 1]
            allowed = (places[columns] > places[rows, None]) & (places[columns] < limit[e + 1, rows, None])
            value, j, k = _greatest(gain, allowed)
            if value + step[e] > best[0]:
                best = (int(value + step[e]), e, e + 1 + j, e + 2 + k)
        if 0 < e < n - 2:  # j = e; rows i, columns k
            columns = slice(e + 1, n - 1)
            gain = (step[:e] - cost[:e, e + 1])[:, None] - cost[columns, 1 : e + 1].T
            gain += step[columns] - cost[e, e + 2 : n]
            value, i, k = _greatest(gain, places[columns] < limit[1 : e + 1, e, None])
            if value + step[e] > best[0]:
                best = (int(value + step[e]), i, e, e + 1 + k)
        if 1 < e < n - 1:  # k = e; rows i, columns j
            rows, columns = slice(0, e - 1), slice(1, e)
            gain = (step[rows] - cost[e, 1:e])[:, None] - cost[rows, 2 : e + 1]
            gain += step[columns] - cost[columns, e + 1]
            allowed = (limit[1:e, columns] > e) & (places[columns] > places[rows, None])
            value, i, j = _greatest(gain, allowed)
            if value + step[e] > best[0]:
                best = (int(value + step[e]), i, 1 + j, e)
        return best


def _greatest(gain: np.ndarray, allowed: np.ndarray) -> tuple[int, int, int]:
    """The greatest entry that is allowed, and where; far below nothing if none is."""
    gain[~allowed] = FAR
    row, column = divmod(int(gain.argmax()), gain.shape[1])
    return int(gain[row, column]), row, column
