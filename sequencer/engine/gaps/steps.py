"""Going from step to step under rules about gaps, and the search for the least total."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heappop, heappush

from sequencer.engine.base.bits import members
from sequencer.engine.base.gaps import Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.bounds.bounds import Guide
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import BeamResult

State = tuple[int, int]
"""What is done, and the last set-up, −1 before the first step."""


@dataclass(frozen=True)
class Steps:
    """A job and the rules about its gaps."""

    job: Job
    gaps: Gaps

    def moves(self, done: int, ready: int, present: int) -> Iterator[tuple[int, int, int, int]]:
        """What can come next: (operation, done, ready, cost of the change)."""
        job = self.job
        costs = job.costs.starts if present < 0 else job.costs.changes[present]
        for op in members(ready & self.gaps.following(done, present)):
            after, then = job.step(done, ready, op)
            yield op, after, then, costs[job.setups[op]]


class Arrival:
    """The cheapest arrival at each state, and by which operation from where."""

    def __init__(self) -> None:
        self.cost: dict[State, int] = {(0, -1): 0}
        self._from: dict[State, tuple[State, int]] = {}

    def arrive(self, state: State, cost: int, before: State, op: int) -> bool:
        """Take note of an arrival; False when the state was reached as cheaply before."""
        known = self.cost.get(state)
        if known is not None and known <= cost:
            return False
        self.cost[state] = cost
        self._from[state] = before, op
        return True

    def order(self, state: State) -> list[int]:
        """The operations on the way to a state."""
        order = []
        while state in self._from:
            state, op = self._from[state]
            order.append(op)
        return order[::-1]


def best_first(
    steps: Steps, guide: Guide, cutoff: int, budget: Budget, states: int | None = None
) -> BeamResult:
    """The best order below ``cutoff``, or the proof that there is none, or a bound when a limit comes first.

    Args:
        steps: What is to be ordered, and how.
        guide: A bound on the changes to come, which need not be consistent.
        cutoff: Orders that cost as much are of no interest.
        budget: The limits of the whole question.
        states: Stop after this many states of this search alone.
    """
    job, way = steps.job, Arrival()
    if not job.size:
        return BeamResult([], 0, 0)
    queue: list[tuple[int, int, int, int, int, int]] = [(0, 0, 0, 0, job.first, -1)]
    serial = spent = 0
    while queue:
        key, count, _, done, ready, present = heappop(queue)
        cost = way.cost[done, present]
        if done == job.all:
            return BeamResult(way.order((done, present)), cost, cost)
        spent += 1
        if budget.spend() or spent == states or len(way.cost) > budget.limits.memory_states:
            return BeamResult(None, cutoff, min(key, cutoff))
        for op, done2, ready2, change in steps.moves(done, ready, present):
            setup, cost2 = job.setups[op], cost + change
            key2 = max(key, cost2 + guide(done2, setup))
            if key2 < cutoff and way.arrive((done2, setup), cost2, (done, present), op):
                serial += 1
                heappush(queue, (key2, count - 1, serial, done2, ready2, setup))
    return BeamResult(None, cutoff, cutoff)
