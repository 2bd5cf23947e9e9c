"""The cheapest way of reaching every node of a graph from its root (Chu & Liu 1965, Edmonds 1967)."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.costs import Costs


def least_total(costs: Costs, setups: Sequence[int]) -> int:
    """The least that changes into all of ``setups`` cost together, from the start."""
    rows = [[0, *(costs.starts[s] for s in setups)]]
    rows += [[0, *(costs.changes[a][b] for b in setups)] for a in setups]
    return arborescence(rows)


def arborescence(costs: Sequence[Sequence[int]]) -> int:
    """The least total of one arc into every node but 0, all of them reached from node 0.

    ``costs[a][b]`` is the arc from a to b. Chu & Liu's contraction, circle by circle.
    """
    size = len(costs)
    if size <= 1:
        return 0
    into = [0] * size
    for b in range(1, size):
        into[b] = min((a for a in range(size) if a != b), key=lambda a: costs[a][b])
    circle = _circle(into)
    if circle is None:
        return sum(costs[into[b]][b] for b in range(1, size))
    paid = sum(costs[into[b]][b] for b in circle)
    kept = [node for node in range(size) if node not in circle]
    smaller = [[costs[a][b] for b in kept] for a in kept]
    for row, a in zip(smaller, kept, strict=True):
        row.append(min(costs[a][b] - costs[into[b]][b] for b in circle))
    smaller.append([*(min(costs[a][b] for a in circle) for b in kept), 0])
    return paid + arborescence(smaller)


def _circle(into: Sequence[int]) -> set[int] | None:
    done = {0}
    for node in range(1, len(into)):
        path: list[int] = []
        while node not in done and node not in path:
            path.append(node)
            node = into[node]  # noqa: PLW2901 - the walk back to the root
        if node in path:
            return set(path[path.index(node) :])
        done.update(path)
    return None
