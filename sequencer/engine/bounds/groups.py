"""Groups of set-ups that belong together, found in the costs alone: a place, a tool, a family of tools.

Nothing depends on the groups but the strength of a bound, so they may be guessed: every threshold on the
costs splits the set-ups into clusters; where going between two clusters costs at least d, what a change costs
beyond d splits them again, across the clusters (the same tool at another place costs nothing beyond).
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.costs import Matrix

Partition = tuple[int, ...]
"""The class of each set-up."""


MANY_SETUPS, FEW_CLASSES = 45, 8
"""With more set-ups than that, only partitions into few classes are split again across."""


def partitions(changes: Matrix, used: Sequence[int]) -> list[Partition]:
    """Partitions of the set-ups in ``used`` by what changes cost, coarsest first; others get class −1."""
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
        for row in rows:
            for y in range(classes):
                row[y] = min(row[y], row[via] + rows[via][y])
    return tuple(map(tuple, rows))


def _clusterings(changes: Matrix, used: Sequence[int]) -> list[Partition]:
    """The connected components of the set-ups at each threshold on the costs (single linkage)."""
    found = [_components(changes, used, limit) for limit in _thresholds(changes, used)]
    return list(dict.fromkeys(found))[::-1]


def _thresholds(changes: Matrix, used: Sequence[int]) -> list[int]:
    """The costs at which two clusters become one: those of a least spanning tree (Kruskal 1956)."""
    cluster = {setup: setup for setup in used}

    def head(setup: int) -> int:
        while cluster[setup] != setup:
            setup = cluster[setup]
        return setup

    pairs = sorted((max(changes[a][b], changes[b][a]), a, b) for a in used for b in used if a < b)
    limits = [-1]
    for weight, a, b in pairs:
        if head(a) != head(b):
            cluster[head(a)] = head(b)
            limits.append(weight)
    return sorted(set(limits))


def _components(changes: Matrix, used: Sequence[int], limit: int) -> Partition:
    classes = [-1] * len(changes)
    count = 0
    for start in used:
        if classes[start] >= 0:
            continue
        classes[start] = count
        reached = [start]
        for a in reached:
            for b in used:
                if classes[b] < 0 and max(changes[a][b], changes[b][a]) <= limit:
                    classes[b] = count
                    reached.append(b)
        count += 1
    return tuple(classes)
