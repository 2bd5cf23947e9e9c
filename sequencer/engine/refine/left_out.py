"""What operations that are left out of a table cost at the least, in every order: prices of theirs.

A group of operations left out is given a price p, paid whenever an order enters the group. The prices are
such that taking any operation that is left out from between two others still makes an order no dearer when
every change is counted less the prices that it pays. Taken out one after the other they leave the order of
what is kept, which pays none. So an order costs at least

    what the order of those kept costs + Σ price × entries,

and a group is entered at least as often as a chain of its job changes into it. What is sure to lie between
two operations because it is kept parts them for good, so that few pairs have to be looked at.

Prices are raised group by group, the small ones first (dual ascent, as in Erlenkotter 1978, Operations
Research 26); every inequality that a raised price could break is looked at: what leaves the group's place
between two outside, what brings two inside together, what comes first, what comes last.

An order that goes to the set-up of something left out can be held against one of what is kept and that alone:
then what the groups that hold it pay for one entry is in both, and is taken off once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.bitsets import parts, split
from sequencer.engine.bounds.bounds import base_groups, chain_levels, direct_successors

if TYPE_CHECKING:
    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.base.job import Job
    from sequencer.engine.base.packed import StateBounds

FAR, NEVER = 1 << 29, 1 << 30
"""More than any price; and what a change counts that no order can make."""


@dataclass(frozen=True)
class GroupPrice:
    """What each entry of a group of operations is worth.

    Attributes:
        price: In the costs' unit.
        group: The operations, as bits.
        enter: Those from which a chain enters the group at least once, twice …
        stay: The same where one of the group has just been done.
    """

    price: int
    group: int
    enter: tuple[int, ...]
    stay: tuple[int, ...]


class LeftOut:
    """Makes prices for one job, at its closed costs, as more and more of it is kept."""

    def __init__(self, job: Job) -> None:
        self.job = job
        setups = np.array(job.setups, dtype=np.int64)
        costs = job.costs.closure
        self._starts = np.array(costs.starts, dtype=np.int32)[setups]
        groups = base_groups(costs.changes, sorted({*job.setups}))
        self._groups = [
            mask_of(op for setup in members(group) for op in members(job.in_setup[setup])) for group in groups
        ]
        self._groups += [ops for _, ops in job.visited]
        self._forward = direct_successors(job)
        self._after = np.array([_row(mask, job.size) for mask in job.descendants], dtype=bool)
        self._changes = np.array(costs.changes, dtype=np.int32)[np.ix_(setups, setups)]
        self._changes[self._after.T | np.eye(job.size, dtype=bool)] = -NEVER
        self._kept = 0
        self._parted = np.zeros((job.size, job.size), dtype=bool)

    def prices(self, kept: int) -> list[GroupPrice]:
        """Prices of what is left out when ``kept``, which holds all that was kept before, is not."""
        job = self.job
        left_out = job.all & ~kept
        for op in members(kept & ~self._kept):
            self._parted |= self._after[:, [op]] & self._after[op]
        self._kept = kept
        raising = _Raising(self._changes, self._starts, self._after, self._parted, _row(kept, job.size))
        singles = {1 << op for op in members(left_out)}
        groups = singles | {group & left_out for group in self._groups}
        found = []
        for group in sorted(groups - {0}, key=lambda mask: (mask.bit_count(), mask)):
            price = raising.raised(_row(group, job.size))
            if price:
                found.append(GroupPrice(price, group, *chain_levels(job, group, self._forward)))
        return found


class _Raising:
    """Changes and starts less the prices so far, and what can be taken out from between what."""

    def __init__(
        self,
        changes: np.ndarray,
        starts: np.ndarray,
        after: np.ndarray,
        parted: np.ndarray,
        kept: np.ndarray,
    ) -> None:
        self.left = changes.copy()
        self.first = starts.copy()
        self._kept = kept
        self._next = ~after.T & ~parted
        np.fill_diagonal(self._next, val=False)
        self._can_begin = np.logical_not(after[kept].any(axis=0))
        self._can_end = np.logical_not(after[:, kept].any(axis=1))

    def raised(self, inside: np.ndarray) -> int:
        """The greatest price of a group beside the others, which it then has; 0 if it can't have any."""
        within, outside = np.flatnonzero(inside), np.flatnonzero(~inside)
        price = FAR
        for op in within.tolist():
            price = min(price, self._least(op, outside), self._at_the_ends(op, outside))
            if price <= 0:
                return 0
        for op in outside[~self._kept[outside]].tolist() if len(within) > 1 else ():
            price = min(price, self._least(op, within))
            if price <= 0:
                return 0
        if price >= FAR:
            return 0
        self.left -= price * (~inside[:, None] & inside[None, :])
        self.first -= price * inside
        return price

    def _least(self, op: int, others: np.ndarray) -> int:
        """What is saved at the least by taking ``op`` out from between two of ``others``."""
        left = self.left
        before, then = others[self._next[others, op]], others[self._next[op, others]]
        saved = left[op, then] - left[before][:, then]
        saved += left[before, op][:, None]
        return int(saved.min(initial=FAR))

    def _at_the_ends(self, op: int, outside: np.ndarray) -> int:
        """The same where ``op`` comes first, or last."""
        least = FAR
        if self._can_begin[op]:
            then = outside[self._next[op, outside]]
            least = int((self.first[op] + self.left[op, then] - self.first[then]).min(initial=FAR))
        if self._can_end[op]:
            least = min(least, int(self.left[outside[self._next[outside, op]], op].min(initial=FAR)))
        return least


class LeftOutBound:
    """A bound for states by a table and the prices of what it leaves out."""

    def __init__(self, table: StateBounds, prices: list[GroupPrice], job: Job) -> None:
        self._table = table
        self._all = job.all
        self._prices = [
            (price, np.array([bool(ops & price.group) for ops in job.in_setup], dtype=bool))
            for price in prices
        ]

    def bound(self, done: Words, present: np.ndarray) -> np.ndarray:
        """A bound on the changes to come, for every state; ``present`` holds the set-ups."""
        bound = self._table.bound(done, present)
        every = split(self._all, len(done))
        undone = [~words & np.uint64(mask) for words, mask in zip(done, every, strict=True)]
        for price, holds in self._prices:
            inside = holds[present]
            for level in range(len(price.enter)):
                called = _some(undone, price.enter[level])
                if level < len(price.stay):
                    called &= ~inside | _some(undone, price.stay[level])
                else:
                    called &= ~inside
                bound += price.price * called
        return bound


def _row(mask: int, size: int) -> np.ndarray:
    """A set as booleans."""
    return np.array([bool(mask >> op & 1) for op in range(size)], dtype=bool)


def _some(undone: Words, mask: int) -> np.ndarray:
    """Whether any of ``mask`` is undone, for every state."""
    some = np.zeros(len(undone[0]), dtype=bool)
    for word, part in parts(mask):
        some |= (undone[word] & part) != 0
    return some
