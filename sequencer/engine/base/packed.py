"""A job in machine words, so that thousands of states are moved and bounded at a time with numpy.

A batch of states holds its done-sets as one array of 64-bit words for each 64 operations. Nothing here is
approximate: the numbers are the same as those of ``Job.exhaust`` and of the bound, state for state.
"""

from __future__ import annotations

from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING, Protocol, Self

import numpy as np

from sequencer.engine.base.bitsets import WORD, needed, parts

if TYPE_CHECKING:
    from sequencer.engine.base.bitsets import Parts, Words
    from sequencer.engine.base.job import Job


class StateBounds(Protocol):
    """What a bound says of a batch of states."""

    def bound(self, done: Words, present: np.ndarray) -> np.ndarray:
        """At most the changes to come, for every state that matters; ``present`` holds the set-ups."""


class Packed:
    """The moves and the bound of one job for batches of states; every set-up is exhausted.

    The bound is the greatest of those given; there must be one at least.
    """

    def __init__(self, job: Job, *bounds: StateBounds) -> None:
        self.job = job
        self._bounds = bounds
        self.words = needed(job.size)
        self.targets = [setup for setup, _ in job.visited]
        self._ops = {target: self._operations(ops) for target, ops in job.visited}
        self.changes = np.array(job.costs.changes, dtype=np.int64)
        self.starts = np.array(job.costs.starts, dtype=np.int64)
        self.table = np.vstack((self.changes, self.starts))

    def also(self, bound: StateBounds) -> Self:
        """The same moves with a bound more."""
        other = copy(self)
        other._bounds = (*self._bounds, bound)  # noqa: SLF001 - its own
        return other

    def exhaust(self, done: Words, target: int) -> Words:
        """Do everything that is ready in ``target``, for every state of a batch."""
        ops, again = self._ops[target]
        after = list(done)
        while True:
            before = list(after)
            for word, bit, needs, ors in ops:
                ready = None
                for part, need in needs:
                    met = (after[part] & need) == need
                    ready = met if ready is None else ready & met
                for clause in ors:
                    met = None
                    for part, choice in clause:
                        one = (after[part] & choice) != 0
                        met = one if met is None else met | one
                    ready = met if ready is None else ready & met
                if ready is None:
                    after[word] = after[word] | bit
                else:
                    after[word] = after[word] | (ready.astype(np.uint64) * bit)
            if not again or all(np.array_equal(a, b) for a, b in zip(before, after, strict=True)):
                return after

    def bound(self, done: Words, present: np.ndarray) -> np.ndarray:
        """The bound on the changes to come, for every state of a batch; ``present`` holds the set-ups."""
        bound = self._bounds[0].bound(done, present)
        for other in self._bounds[1:]:
            np.maximum(bound, other.bound(done, present), out=bound)
        return bound

    def _operations(self, ops: int) -> tuple[list[tuple[int, np.uint64, Parts, list[Parts]]], bool]:
        """The operations of a set-up, what comes earlier first; whether one pass may not be enough."""
        job = self.job
        order = [op for op in job.by_ancestors if ops >> op & 1]
        listed = [
            (
                op // WORD,
                np.uint64(1 << op % WORD),
                parts(job.needs[op]),
                [parts(clause) for clause in job.ors[op]],
            )
            for op in order
        ]
        return listed, any(clause & ops for op in order for clause in job.ors[op])

    @cached_property
    def passing(self) -> np.ndarray:
        """The targets on the way, as bits: a row a set-up left (before the first: the last row)."""
        changes, starts, targets = self.job.costs.changes, self.job.costs.starts, self.targets
        table = np.zeros((len(starts) + 1, len(targets)), dtype=np.uint64)
        if len(targets) > WORD:
            return table
        for left, costs in enumerate((*changes, starts)):
            for number, target in enumerate(targets):
                table[left, number] = sum(
                    1 << other
                    for other, via in enumerate(targets)
                    if via != target
                    and self.job.costs.safe[via]
                    and costs[via] + changes[via][target] == costs[target]
                    and (changes[target][via] or via < target or costs[via] < costs[target])
                )
        return table
