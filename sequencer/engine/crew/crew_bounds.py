"""What no timetable for so many people can fall short of, in closed form.

* The needs: the longest way through them, where what has to be done between two operations takes its time
  with so many hands (``energy``).
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

from sequencer.engine.base.costs import Costs
from sequencer.engine.crew.arborescence import arborescence, least_total
from sequencer.engine.crew.crew_problem import CrewProblem
from sequencer.engine.crew.energy import sharpened
from sequencer.engine.crew.paths import Paths


def lower_bound(problem: CrewProblem, paths: Paths) -> int:
    """The best of the closed bounds; 0 without operations."""
    if not problem.durations:
        return 0
    heads, tails = sharpened(problem, paths.before, paths.heads, paths.tails)
    every = range(len(problem.durations))
    chain = max(heads[op] + problem.durations[op] + tails[op] for op in every)
    return max(chain, _load(problem), *_resources(problem, heads, tails), 0)


def least_changes(problem: CrewProblem) -> int:
    """The cheapest arborescence over the set-ups that occur, from the start."""
    setups = sorted({setup for roles in problem.roles for setup in roles})
    return least_total(Costs(problem.changes, problem.starts), setups)


def _load(problem: CrewProblem) -> int:
    return -(-(problem.work + least_changes(problem)) // problem.people)


def _resources(problem: CrewProblem, heads: Sequence[int], tails: Sequence[int]) -> list[int]:
    found = []
    for r, resource in enumerate(problem.resources):
        used = {op: problem.amount(op, r) for op in range(len(problem.durations))}
        ops = [op for op, amount in used.items() if amount]
        if ops:
            total = sum(problem.durations[op] * used[op] for op in ops)
            span = -(-total // resource.capacity)
            if resource.capacity == 1:
                span += _passing_on(problem, r)
            found.append(min(heads[op] for op in ops) + span + min(tails[op] for op in ops))
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
