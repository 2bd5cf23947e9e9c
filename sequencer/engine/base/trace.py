"""The moves between states, and the way back from a state to an order."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.engine.base.bits import members
from sequencer.engine.base.job import Job


def moves(job: Job, done: int, ready: int, setup: int) -> Iterator[tuple[int, int, int, int]]:
    """What can come next: (done, ready, set-up, cost of the change); ``setup`` −1 before the first.

    In a set-up that is never worth a visit for the sake of the way, everything that is ready is done before
    it is left: an operation put off would only be done on a later visit, and taking it out of that leaves
    nothing dearer. For the same reason no such set-up with something ready is passed by where it lies on the
    way. Elsewhere each operation is a move of its own.
    """
    costs = job.costs.starts if setup < 0 else job.costs.changes[setup]
    targets = []
    for target, ops in job.visited:
        if ready & ops:
            targets.append(target)
    safe, changes = job.costs.safe, job.costs.changes
    for target in targets:
        cost = costs[target]
        if any(
            safe[via]
            and costs[via] + changes[via][target] == cost
            and via != target
            and (changes[target][via] or via < target or not safe[target] or costs[via] < cost)
            for via in targets
        ):
            continue
        if safe[target]:
            after, then = job.exhaust(done, ready, target)
            yield after, then, target, cost
            continue
        for op in members(ready & job.in_setup[target]):
            after, then = job.step(done, ready, op)
            yield after, then, target, cost


class Trace:
    """The cheapest arrival at each state, and from where."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._from: dict[tuple[int, int], tuple[int, int] | None] = {}
        self._cost: dict[tuple[int, int], int] = {}

    def __len__(self) -> int:
        return len(self._cost)

    def arrive(self, done: int, setup: int, cost: int, before: tuple[int, int] | None) -> bool:
        """Take note of an arrival; False when the state was reached as cheaply before."""
        state = (done, setup)
        known = self._cost.get(state)
        if known is not None and known <= cost:
            return False
        self._cost[state] = cost
        self._from[state] = before
        return True

    def stale(self, done: int, setup: int, cost: int) -> bool:
        """Whether the state has been reached more cheaply than at ``cost``."""
        return self._cost[done, setup] < cost

    def order(self, done: int, setup: int) -> list[int]:
        """The operations on the way to a state."""
        steps: list[list[int]] = []
        state: tuple[int, int] | None = (done, setup)
        while state is not None:
            before = self._from[state]
            earlier = before[0] if before else 0
            steps.append(in_sequence(self._job, earlier, state[0] & ~earlier))
            state = before
        return [op for step in reversed(steps) for op in step]


def in_sequence(job: Job, done: int, ops: int) -> list[int]:
    """``ops`` in a sequence in which they can be done after ``done``, least number first."""
    order: list[int] = []
    while ops:
        op = next(op for op in members(ops) if job.ready(done, op))
        order.append(op)
        done |= 1 << op
        ops ^= 1 << op
    return order
