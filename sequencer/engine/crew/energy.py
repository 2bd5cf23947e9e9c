"""Earliest starts and latest ends from the work that lies before, between and behind.

Where an operation f has to end before o starts, all that needs f and is needed by o is done in between:
people × that time is at least its work, and a resource's capacity × that time at least what is used of it. So
an operation that everything else leads up to leaves people idle beside it, which the whole work divided by
people overlooks. Energetic reasoning (Baptiste, Le Pape & Nuijten 1999, "Satisfiability tests and time-bound
adjustments for cumulative scheduling problems"), between operations instead of between moments.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from sequencer.engine.base.costs import Costs
from sequencer.engine.crew.arborescence import least_total
from sequencer.engine.crew.crew_problem import CrewProblem

if TYPE_CHECKING:
    import numpy as np


def sharpened(
    problem: CrewProblem, before: Sequence[int], heads: Sequence[int], tails: Sequence[int]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Heads and tails at least as high as those given; ``before`` holds bit sets of what has to end first."""
    import numpy as np

    size = len(before)
    led = np.array([[mask >> op & 1 for op in range(size)] for mask in before], dtype=np.int64)
    led = led.reshape(size, size)
    between = _between(problem, led)
    changes = _Changes(problem)
    high = list(heads)
    for op in sorted(range(size), key=lambda op: before[op].bit_count()):
        first = np.flatnonzero(led[op]).tolist()
        if first:
            ends = [high[f] + problem.durations[f] + int(between[op, f]) for f in first]
            high[op] = max(high[op], *ends, changes.soonest(first))
    low = list(tails)
    behind = led.T
    for op in sorted(range(size), key=lambda op: int(behind[op].sum())):
        later = np.flatnonzero(behind[op]).tolist()
        if later:
            rest = [low[g] + problem.durations[g] + int(between[g, op]) for g in later]
            low[op] = max(low[op], *rest, _least(problem, later))
    return tuple(high), tuple(low)


def _between(problem: CrewProblem, led: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """``[o, f]``: the least time between the end of f and the start of o, where f has to end before o."""
    import numpy as np

    least: np.ndarray[Any, Any] = -(-(led * _work(problem)) @ led // problem.people)
    for resource, amounts in _uses(problem):
        least = np.maximum(least, -(-(led * amounts) @ led // problem.resources[resource].capacity))
    return least


def _work(problem: CrewProblem) -> np.ndarray[Any, Any]:
    import numpy as np

    return np.array(
        [d * len(r) for d, r in zip(problem.durations, problem.roles, strict=True)], dtype=np.int64
    )


def _uses(problem: CrewProblem) -> list[tuple[int, np.ndarray[Any, Any]]]:
    """For each resource, duration times amount of every operation."""
    import numpy as np

    return [
        (r, np.array([d * problem.amount(op, r) for op, d in enumerate(problem.durations)], dtype=np.int64))
        for r in range(len(problem.resources))
    ]


def _least(problem: CrewProblem, ops: Sequence[int]) -> int:
    """The least time in which these operations can be done."""
    work = _work(problem)
    return -(-int(work[ops].sum()) // problem.people)


class _Changes:
    """When operations can all be done at the soonest, with the changes that this takes from the start."""

    def __init__(self, problem: CrewProblem) -> None:
        self.problem = problem
        self.costs = Costs(problem.changes, problem.starts).closure
        self.work = _work(problem)
        self._known: dict[frozenset[int], int] = {}

    def soonest(self, ops: Sequence[int]) -> int:
        setups = frozenset(setup for op in ops for setup in self.problem.roles[op])
        if setups not in self._known:
            self._known[setups] = least_total(self.costs, sorted(setups))
        return -(-(int(self.work[ops].sum()) + self._known[setups]) // self.problem.people)
