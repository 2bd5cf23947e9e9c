"""Groups of set-ups that belong together, found in the costs alone: a place, a tool, a family of tools.

Nothing depends on the groups but the strength of a bound, so they may be guessed: every threshold on the
costs splits the set-ups into clusters; where going between two clusters costs at least d, what a change costs
beyond d splits them again, across the clusters (the same tool at another place costs nothing beyond).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import groupby
from operator import itemgetter

from sequencer.engine.base.costs import Matrix

Partition = tuple[int, ...]
"""The class of each set-up."""


MANY_SETUPS, FEW_CLASSES = 45, 8
"""With more set-ups than that, only partitions into few classes are split again across."""


@lru_cache(maxsize=16)
def partitions(changes: Matrix, used: tuple[int, ...]) -> list[Partition]:
    """Partitions of the set-ups in ``used`` by what changes cost, coarsest first; others get class −1.

    They are remembered: the bounds of one question ask for the same ones several times.
    """
    found: list[Partition] = []
    for partition in _clusterings(changes, used):
        if partition not in found:
            found.append(partition)
        if max(partition, default=0) >= (FEW_CLASSES if len(used) > MANY_SETUPS else MANY_SETUPS):
            continue
        for across in _clusterings(residual(changes, partition, used), used):
            if across not in found:
                found.append(across)
    return sorted(found, key=lambda partition: (max(partition, default=0), partition))


def residual(changes: Matrix, partition: Partition, used: Sequence[int]) -> Matrix:
    """What is left of each change when its cost between classes is taken off at the least."""
    between = class_costs(changes, partition, used)
    size = len(changes)
    rows = [[0] * size for _ in range(size)]
    for a in used:
        for b in used:
            rows[a][b] = changes[a][b] - between[partition[a]][partition[b]]
    return tuple(map(tuple, rows))


def class_costs(changes: Matrix, partition: Partition, used: Sequence[int]) -> Matrix:
    """The least cost of a change from each class to each other; triangle inequality kept by closing."""
    classes = max((partition[s] for s in used), default=-1) + 1
    least: list[list[int | None]] = [[None] * classes for _ in range(classes)]
    for a in used:
        for b in used:
            x, y = partition[a], partition[b]
            cost = 0 if x == y else changes[a][b]
            known = least[x][y]
            least[x][y] = cost if known is None else min(known, cost)
    rows = [[cost or 0 for cost in row] for row in least]
    for via in range(classes):
        onward = rows[via]
        for row in rows:
            there = row[via]
            row[:] = [min(cost, there + more) for cost, more in zip(row, onward, strict=True)]
    return tuple(map(tuple, rows))


def _clusterings(changes: Matrix, used: Sequence[int]) -> list[Partition]:
    """The connected components of the set-ups at each threshold on the costs, the coarsest first.

    Single linkage: components change only at the costs of a least spanning tree (Kruskal 1956).
    """
    cluster = {setup: setup for setup in used}

    def head(setup: int) -> int:
        while cluster[setup] != setup:
            setup = cluster[setup]
        return setup

    found = [_partition(changes, used, head)]
    pairs = sorted((max(changes[a][b], changes[b][a]), a, b) for a in used for b in used if a < b)
    for _, same in groupby(pairs, key=itemgetter(0)):
        before = dict(cluster)
        for _, a, b in same:
            cluster[head(a)] = head(b)
        if cluster != before:
            found.append(_partition(changes, used, head))
    return list(dict.fromkeys(found))[::-1]


def _partition(changes: Matrix, used: Sequence[int], head: Callable[[int], int]) -> Partition:
    """Classes by their heads, numbered in the sequence of ``used``."""
    classes = [-1] * len(changes)
    number: dict[int, int] = {}
    for setup in used:
        classes[setup] = number.setdefault(head(setup), len(number))
    return tuple(classes)
