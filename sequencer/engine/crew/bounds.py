"""What no timetable for so many people can fall short of, in closed form.

* The needs: the longest way through them, with as many hands as one likes.
* The load: every person is at work or on the way for at most the length L, so people × L is at least all
  durations (once for each person that an operation takes) plus all changes. Each set-up that
  occurs is entered by somebody, from nothing or from another set-up: all routes together hold a
  spanning arborescence of the set-ups, rooted at the start, so that their changes cost at least the cheapest
  one (Chu & Liu 1965, Edmonds 1967).
* A resource: its capacity × (time from the first use to the last end) is at least all that is used. Between
  two uses of a single piece with different set-ups its holder makes the change, or it is given back and taken
  again; an arborescence over the set-ups that hold it counts the least of that.

The best order for one person, divided by the number of people, is no such bound. Two people keep to
a tool or a place each and may pay for few of the changes that one person has to make: where
two chains of operations alternate between two set-ups, one person changes at every step and two
never do. The tests hold such a case.
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.costs import Costs
from sequencer.engine.crew.paths import Paths
from sequencer.engine.crew.problem import CrewProblem


def lower_bound(problem: CrewProblem, paths: Paths) -> int:
    """The best of the closed bounds; 0 without operations."""
    if not problem.durations:
        return 0
    return max(_needs(problem, paths), _load(problem), *_resources(problem, paths), 0)


def least_changes(problem: CrewProblem) -> int:
    """The cheapest arborescence over the set-ups that occur, from the start."""
    setups = sorted({setup for roles in problem.roles for setup in roles})
    costs = [[0, *(problem.starts[s] for s in setups)]]
    costs += [[0, *(problem.changes[a][b] for b in setups)] for a in setups]
    return arborescence(costs)


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


def _needs(problem: CrewProblem, paths: Paths) -> int:
    every = range(len(problem.durations))
    return max(paths.heads[op] + problem.durations[op] + paths.tails[op] for op in every)


def _load(problem: CrewProblem) -> int:
    return -(-(problem.work + least_changes(problem)) // problem.people)


def _resources(problem: CrewProblem, paths: Paths) -> list[int]:
    found = []
    for r, resource in enumerate(problem.resources):
        used = {op: _amount(problem, op, r) for op in range(len(problem.durations))}
        ops = [op for op, amount in used.items() if amount]
        if ops:
            total = sum(problem.durations[op] * used[op] for op in ops)
            span = -(-total // resource.capacity)
            if resource.capacity == 1:
                span += _passing_on(problem, r)
            found.append(min(paths.heads[op] for op in ops) + span + min(paths.tails[op] for op in ops))
    return found


def _passing_on(problem: CrewProblem, resource: int) -> int:
    """The least that a single piece stands idle or is on the way between the set-ups that hold it."""
    if any(r == resource for demand in problem.demands for r, amount in demand if amount):
        return 0
    setups = sorted({s for roles in problem.roles for s in roles if resource in problem.holds[s]})
    handing = problem.resources[resource].give + problem.resources[resource].take
    closed = Costs(problem.changes, problem.starts).closure.changes
    costs = [[0] * (len(setups) + 1)]
    costs += [[0, *(min(closed[a][b], handing) for b in setups)] for a in setups]
    costs[0] = [0, *(sum(map(max, costs)) + 1 for _ in setups)]
    return min(
        arborescence([[0, *(0 if n == first else c for n, c in enumerate(costs[0][1:]))], *costs[1:]])
        for first in range(len(setups))
    )


def _amount(problem: CrewProblem, op: int, resource: int) -> int:
    held = sum(resource in problem.holds[setup] for setup in problem.roles[op]) if problem.holds else 0
    return held + sum(amount for r, amount in problem.using(op) if r == resource)
