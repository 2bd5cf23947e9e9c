"""Fusing operations of one set-up that need never be apart.

Take two operations i, j of one set-up in a best order, i before j. Nothing is lost by doing j already with i
if all that j waits for comes before i anyway; nor by putting i off until j if all that may wait for i waits
for j too. (Taking an operation out of the middle of an order costs nothing where the triangle inequality
holds.) If one or the other is true whichever of the two comes first, they are one block, and blocks are
operations in their turn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.job import Job, must_ancestors
from sequencer.engine.stop import Budget


@dataclass(frozen=True)
class Merged:
    """A job of blocks, and the operations in each, in a sequence in which they can be done."""

    job: Job
    blocks: tuple[tuple[int, ...], ...]

    def unfold(self, order: Sequence[int]) -> list[int]:
        """The operations in an order of blocks."""
        return [op for block in order for op in self.blocks[block]]

    def fold(self, order: Sequence[int]) -> list[int]:
        """The blocks of an order of operations, each where its last operation is."""
        place = {op: number for number, op in enumerate(order)}
        return sorted(range(len(self.blocks)), key=lambda block: max(place[op] for op in self.blocks[block]))


@dataclass(frozen=True)
class Leave:
    """What rules leave free to be moved: sets of operations, as bits.

    Attributes:
        sooner: May be done as soon as they can be done without moving.
        later: May be put off until another of the set-up is done that lets wait what they let wait.
        alike: For each operation those that rules bar and let come just as they do that one.
    """

    sooner: int
    later: int
    alike: tuple[int, ...]


def merge(job: Job, budget: Budget, leave: Leave | None = None) -> Merged:
    """Fuse to a fixpoint, or until time is up; nothing is fused where the costs are not closed.

    Args:
        job: A feasible job.
        budget: Whose time is spent.
        leave: What rules leave free; all, if there are none.
    """
    if not job.costs.closed:
        return Merged(job, tuple((op,) for op in range(job.size)))
    job = Job(job.setups, lean(job.clauses), job.costs)
    return _Fusion(job, leave or Leave(job.all, job.all, (job.all,) * job.size)).run(budget)


class _Fusion:
    """Blocks under way; a block goes by the number of its first operation, sets hold operations."""

    def __init__(self, job: Job, leave: Leave) -> None:
        self.job = job
        self.leave = leave
        self.head = list(range(job.size))
        self.block = [1 << op for op in range(job.size)]
        self.order = [[op] for op in range(job.size)]
        self.before = list(job.ancestors)
        self.users = [mask_of(users) for users in job.users]
        self.choosy = mask_of(op for op, ors in enumerate(job.ors) if ors)
        self.heads = (1 << job.size) - 1

    def run(self, budget: Budget) -> Merged:
        heads = [list(members(ops)) for ops in self.job.in_setup]
        fused = True
        while fused:
            fused = False
            for own in heads:
                for i in list(own):
                    if budget.late:
                        return self._merged()
                    for j in own[own.index(i) + 1 :] if i in own else ():
                        pair = self._fusible(i, j)
                        if pair:
                            self._fuse(*pair)
                            own.remove(pair[1])
                            fused = True
                            if pair[0] != i:
                                break
        return self._merged()

    def _fusible(self, i: int, j: int) -> tuple[int, int] | None:
        """The two in the sequence in which a block does them, or None."""
        if self.before[i] & self.block[j]:
            i, j = j, i
        if self._either_or(i, j) or not self.leave.alike[i] >> j & 1:
            return None
        if self.before[j] & self.block[i]:
            return (i, j) if self._advance(j, i) or self._delay(i, j) else None
        forth = self._advance(j, i) or self._delay(i, j)
        return (i, j) if forth and (self._advance(i, j) or self._delay(j, i)) else None

    def _either_or(self, i: int, j: int) -> bool:
        """Whether one is a choice for the other: then their sequence in a block would not be free."""
        return any(
            clause & self.block[b]
            for a, b in ((i, j), (j, i))
            for op in members(self.block[a] & self.choosy)
            for clause in self.job.ors[op]
        )

    def _advance(self, j: int, i: int) -> bool:
        """Whether j can be done as soon as i has been."""
        before = self.before[i] | self.block[i]
        return not self.block[j] & ~self.leave.sooner and all(
            clause & (before | self.block[j]) or self._implied(clause, before)
            for op in members(self.block[j])
            for clause in self.job.clauses[op]
        )

    def _implied(self, clause: int, before: int) -> bool:
        """Whether one of ``before`` has itself waited for one of ``clause``."""
        return any(not other & ~clause for op in members(before & self.choosy) for other in self.job.ors[op])

    def _delay(self, i: int, j: int) -> bool:
        """Whether all that may wait for i waits for j as well."""
        block = self.block[j]
        users = self.users[i] & ~block & ~self.block[i]
        return not self.block[i] & ~self.leave.later and all(
            self.before[self.head[user]] & block for user in members(users)
        )

    def _fuse(self, i: int, j: int) -> None:
        both = self.block[i] | self.block[j]
        before = (self.before[i] | self.before[j]) & ~both
        for op in members(self.block[j]):
            self.head[op] = i
        self.block[i] = both
        self.order[i] += self.order[j]
        self.users[i] |= self.users[j]
        self.before[i] = before
        self.heads &= ~(1 << j)
        for op in members(self.heads):
            if self.before[op] & both:
                self.before[op] |= both | before

    def _merged(self) -> Merged:
        job = self.job
        heads = [op for op in range(job.size) if self.head[op] == op]
        number = {op: index for index, op in enumerate(heads)}
        clauses = [
            [
                mask_of(number[self.head[member]] for member in members(clause))
                for op in self.order[head]
                for clause in job.clauses[op]
                if not clause & self.block[head]
            ]
            for head in heads
        ]
        setups = tuple(job.setups[op] for op in heads)
        blocks = tuple(tuple(self.order[op]) for op in heads)
        return Merged(Job(setups, lean(clauses), job.costs), blocks)


def lean(clauses: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
    """Without what other clauses imply: supersets, what comes through another, what comes too late."""
    every = (1 << len(clauses)) - 1
    before = must_ancestors(clauses, every)
    after = [0] * len(clauses)
    for op, ancestors in enumerate(before):
        for other in members(ancestors):
            after[other] |= 1 << op
    return tuple(_lean(own, before, after[op] | 1 << op) for op, own in enumerate(clauses))


def _lean(own: Sequence[int], before: Sequence[int], late: int) -> tuple[int, ...]:
    through = 0
    for clause in own:
        if not clause & (clause - 1):
            through |= before[clause.bit_length() - 1]
    kept: list[int] = []
    for clause in sorted({clause & ~late for clause in own}, key=lambda mask: (mask.bit_count(), mask)):
        if not clause & through and not any(not other & ~clause for other in kept):
            kept.append(clause)
    return tuple(kept)
