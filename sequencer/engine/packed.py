"""A job in machine words, so that thousands of states are moved and bounded at a time with numpy.

A batch of states holds its done-sets as one array of 64-bit words for each 64 operations. Nothing here is
approximate: the numbers are the same as those of ``Job.exhaust`` and of the bound, state for state.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.bits import mask_of, members
from sequencer.engine.tables import Tables

if TYPE_CHECKING:
    from sequencer.engine.cuts import Cuts
    from sequencer.engine.job import Job

    Words = list[np.ndarray]
    """One array for each 64 operations, one entry for each state."""

    Parts = list[tuple[int, np.uint64]]
    """The words of a set that hold anything, by number."""

WORD = 64
FULL = (1 << WORD) - 1


class Packed:
    """The moves and the bound of one job for batches of states; every set-up is exhausted."""

    def __init__(self, job: Job, cuts: Cuts) -> None:

        self.job = job
        self.words = max(1, -(-job.size // WORD))
        self.targets = [setup for setup, _ in job.visited]
        self._ops = {target: self._operations(ops) for target, ops in job.visited}
        self._cuts = cuts
        self._potentials = np.array(cuts.potentials, dtype=np.int64)
        self._tables = Tables(cuts, job.size)
        self.unsafe = mask_of(op for op, setup in enumerate(job.setups) if not job.costs.safe[setup])
        self.apart = [np.uint64(part) for part in self.split(self.unsafe)]
        self.changes = np.array(job.costs.changes, dtype=np.int64)
        self.starts = np.array(job.costs.starts, dtype=np.int64)
        self.table = np.vstack((self.changes, self.starts))
        self.passing = self._passing()

    def split(self, mask: int) -> list[int]:
        """A set in words."""
        return [mask >> (WORD * word) & FULL for word in range(self.words)]

    def _parts(self, mask: int) -> Parts:
        """The words of a set that hold anything."""
        return [(word, np.uint64(part)) for word, part in enumerate(self.split(mask)) if part]

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
        every = self.split(self.job.all)
        undone = [~words & np.uint64(mask) for words, mask in zip(done, every, strict=True)]
        total = self._potentials[present]
        if self._tables.priced:
            octets = np.ascontiguousarray(np.stack(undone, axis=1), dtype="<u8").view(np.uint8)
            ends = [*(np.flatnonzero(np.diff(present)) + 1).tolist(), len(present)]
            begin = 0
            for end in ends:
                total[begin:end] += self._tables.entries_priced(octets[begin:end], int(present[begin]))
                begin = end
        bound: np.ndarray = np.maximum(0, -((self._last(undone) - total) // self._cuts.fine))
        bound[~self._some(undone, self.job.all)] = 0
        return bound

    def _some(self, undone: Words, mask: int) -> np.ndarray:
        """Whether any of ``mask`` is undone, for every state."""
        some = np.zeros(len(undone[0]), dtype=bool)
        for words, part in zip(undone, self.split(mask), strict=True):
            if part:
                some |= (words & np.uint64(part)) != 0
        return some

    def _last(self, undone: Words) -> np.ndarray:
        """The greatest potential of a set-up that an order may end in, for every state."""
        last = np.full(len(undone[0]), self._cuts.lasts[-1][0], dtype=np.int64)
        for potential, ops in reversed(self._cuts.lasts[:-1]):
            last[self._some(undone, ops)] = potential
        return last

    def _operations(self, ops: int) -> tuple[list[tuple[int, np.uint64, Parts, list[Parts]]], bool]:
        """The operations of a set-up, what comes earlier first; whether one pass may not be enough."""
        job = self.job
        order = sorted(members(ops), key=lambda op: (job.ancestors[op].bit_count(), op))

        listed = [
            (
                op // WORD,
                np.uint64(1 << op % WORD),
                self._parts(job.needs[op]),
                [self._parts(clause) for clause in job.ors[op]],
            )
            for op in order
        ]
        return listed, any(clause & ops for op in order for clause in job.ors[op])

    def _passing(self) -> np.ndarray:
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
