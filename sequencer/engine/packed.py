"""A job in machine words, so that thousands of states are moved and bounded at a time with numpy.

A batch of states holds its done-sets as one array of 64-bit words for each 64 operations. Nothing here is
approximate: the numbers are the same as those of ``Job.exhaust`` and of the bound, state for state.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sequencer.engine.bits import members

if TYPE_CHECKING:
    import numpy as np

    from sequencer.engine.cuts import Cuts
    from sequencer.engine.job import Job

    Words = list[np.ndarray]
    """One array for each 64 operations, one entry for each state."""

WORD = 64
FULL = (1 << WORD) - 1


class Packed:
    """The moves and the bound of one job for batches of states; every set-up is exhausted."""

    def __init__(self, job: Job, cuts: Cuts) -> None:
        import numpy as np

        self.np = np
        self.job = job
        self.words = max(1, -(-job.size // WORD))
        self.targets = [setup for setup, _ in job.visited]
        self._ops = {target: self._operations(ops) for target, ops in job.visited}
        self._cuts = cuts
        self.changes = np.array(job.costs.changes, dtype=np.int64)
        self.starts = np.array(job.costs.starts, dtype=np.int64)
        self.passing = self._passing()

    def split(self, mask: int) -> list[int]:
        """A set in words."""
        return [mask >> (WORD * word) & FULL for word in range(self.words)]

    def exhaust(self, done: Words, target: int) -> Words:
        """Do everything that is ready in ``target``, for every state of a batch."""
        np = self.np
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

    def bound(self, done: Words, target: int) -> np.ndarray:
        """The bound on the changes to come, for every state of a batch that has ``target`` present."""
        np = self.np
        size = len(done[0])
        every = self.split(self.job.all)
        undone = [~words & np.uint64(mask) for words, mask in zip(done, every, strict=True)]
        union = _fold(int(np.bitwise_or.reduce(words)) for words in undone)
        common = _fold(int(np.bitwise_and.reduce(words)) for words in undone)
        total = np.zeros(size, dtype=np.int64)
        surely = self._cuts.potentials[target]
        for price, levels in self._cuts.tables[target]:
            for level in levels:
                if not level & union:
                    break
                if level & common:
                    surely += price
                else:
                    total += self._some(undone, level) * np.int64(price)
        bound = np.maximum(0, -((self._last(undone, common) - total - surely) // self._cuts.fine))
        bound[~self._some(undone, self.job.all)] = 0
        return bound

    def _some(self, undone: Words, mask: int) -> np.ndarray:
        """Whether any of ``mask`` is undone, for every state."""
        np = self.np
        some = np.zeros(len(undone[0]), dtype=bool)
        for words, part in zip(undone, self.split(mask), strict=True):
            if part:
                some |= (words & np.uint64(part)) != 0
        return some

    def _last(self, undone: Words, common: int) -> np.ndarray:
        """The greatest potential of a set-up that an order may end in, for every state."""
        np = self.np
        known = []
        for potential, ops in self._cuts.lasts:
            known.append((potential, ops))
            if ops & common:
                break
        last = np.full(len(undone[0]), known[-1][0], dtype=np.int64)
        for potential, ops in reversed(known[:-1]):
            last[self._some(undone, ops)] = potential
        return last

    def _operations(self, ops: int) -> tuple[list[tuple], bool]:
        """The operations of a set-up, what comes earlier first; whether one pass may not be enough."""
        np, job = self.np, self.job
        order = sorted(members(ops), key=lambda op: (job.ancestors[op].bit_count(), op))

        def parts(mask: int) -> list[tuple[int, np.uint64]]:
            return [(word, np.uint64(part)) for word, part in enumerate(self.split(mask)) if part]

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

    def _passing(self) -> dict[int, list[list[int]]]:
        """For each target, the numbers of the targets that lie on the way to it; by the set-up left, −1 first."""
        changes, starts, targets = self.job.costs.changes, self.job.costs.starts, self.targets

        def on_the_way(costs: tuple[int, ...], target: int) -> list[int]:
            return [
                number
                for number, via in enumerate(targets)
                if via != target
                and costs[via] + changes[via][target] == costs[target]
                and (changes[target][via] or via < target or costs[via] < costs[target])
            ]

        return {
            target: [on_the_way(changes[setup], target) for setup in range(len(starts))]
            + [on_the_way(starts, target)]
            for target in targets
        }


def _fold(words: object) -> int:
    mask = 0
    for number, word in enumerate(words):  # type: ignore[call-overload]
        mask |= word << (WORD * number)
    return mask
