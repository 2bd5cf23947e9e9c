"""A fixed set of operations to be put in order: what the sequencing methods work on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from sequencer.engine.base.bits import mask_of, members, union_of
from sequencer.engine.base.costs import Costs


@dataclass(frozen=True)
class Job:
    """Operations 0 … n−1 that are all done, each when every one of its clauses holds one that is done.

    Attributes:
        setups: Set-up of each operation.
        clauses: For each operation, sets of operations (bits), of each of which one comes earlier.
        costs: Of the changes; the durations are no matter of the order.
    """

    setups: tuple[int, ...]
    clauses: tuple[tuple[int, ...], ...]
    costs: Costs

    @property
    def size(self) -> int:
        """The number of operations."""
        return len(self.setups)

    @cached_property
    def all(self) -> int:
        """Every operation, as bits."""
        return (1 << self.size) - 1

    @cached_property
    def needs(self) -> tuple[int, ...]:
        """For each operation, those that come before it by a clause of their own."""
        return tuple(
            mask_of(c.bit_length() - 1 for c in clauses if not c & (c - 1)) for clauses in self.clauses
        )

    @cached_property
    def ors(self) -> tuple[tuple[int, ...], ...]:
        """For each operation, its clauses with a choice."""
        return tuple(tuple(c for c in clauses if c & (c - 1)) for clauses in self.clauses)

    @cached_property
    def users(self) -> tuple[tuple[int, ...], ...]:
        """For each operation, those with a clause that holds it."""
        users: list[list[int]] = [[] for _ in self.setups]
        for op, clauses in enumerate(self.clauses):
            for other in members(union_of(clauses)):
                users[other].append(op)
        return tuple(map(tuple, users))

    @cached_property
    def in_setup(self) -> tuple[int, ...]:
        """For each set-up, its operations."""
        masks = [0] * len(self.costs.starts)
        for op, setup in enumerate(self.setups):
            masks[setup] |= 1 << op
        return tuple(masks)

    @cached_property
    def visited(self) -> tuple[tuple[int, int], ...]:
        """The set-ups that have operations, each with them."""
        return tuple((setup, ops) for setup, ops in enumerate(self.in_setup) if ops)

    @cached_property
    def first(self) -> int:
        """The operations that wait for nothing."""
        return mask_of(op for op, clauses in enumerate(self.clauses) if not clauses)

    @cached_property
    def ancestors(self) -> tuple[int, ...]:
        """For each operation, those that come before it in every order."""
        return must_ancestors(self.clauses, self.all)

    @cached_property
    def descendants(self) -> tuple[int, ...]:
        """For each operation, those that come after it in every order."""
        after = [0] * self.size
        for op, before in enumerate(self.ancestors):
            for other in members(before):
                after[other] |= 1 << op
        return tuple(after)

    @cached_property
    def by_ancestors(self) -> tuple[int, ...]:
        """The operations, those that few come before first: each after all that come before it."""
        return tuple(sorted(range(self.size), key=lambda op: self.ancestors[op].bit_count()))

    @cached_property
    def dearest(self) -> int:
        """No order costs more."""
        return max(self.costs.starts) + max(max(row) for row in self.costs.changes) * self.size

    @cached_property
    def feasible(self) -> bool:
        """Whether any order exists."""
        return reachable(self.clauses, self.all) == self.all

    def ready(self, done: int, op: int) -> bool:
        """Whether ``op`` can be done once ``done`` is."""
        return not self.needs[op] & ~done and all(clause & done for clause in self.ors[op])

    def exhaust(self, done: int, ready: int, setup: int) -> tuple[int, int]:
        """Do all that is ready in ``setup`` or becomes so by it; what is done and ready then."""
        here = self.in_setup[setup]
        needs, ors, users = self.needs, self.ors, self.users
        while now := ready & here:
            done |= now
            ready ^= now
            while now:
                low = now & -now
                now ^= low
                for user in users[low.bit_length() - 1]:
                    if not needs[user] & ~done and not done >> user & 1:
                        choice = ors[user]
                        if not choice or all(clause & done for clause in choice):
                            ready |= 1 << user
        return done, ready

    def step(self, done: int, ready: int, op: int) -> tuple[int, int]:
        """Do ``op`` alone; what is done and ready then."""
        done |= 1 << op
        ready &= ~(1 << op)
        for user in self.users[op]:
            if not done >> user & 1 and self.ready(done, user):
                ready |= 1 << user
        return done, ready

    def cost(self, order: Sequence[int]) -> int:
        """The changes of an order."""
        return self.costs.of([self.setups[op] for op in order])

    def valid(self, order: Sequence[int]) -> bool:
        """Whether ``order`` holds every operation once and meets every clause."""
        done = 0
        for op in order:
            if done >> op & 1 or not self.ready(done, op):
                return False
            done |= 1 << op
        return done == self.all


def reachable(clauses: Sequence[Iterable[int]], allowed: int) -> int:
    """Of ``allowed``, what can be done at all when each operation waits for one of each of its clauses."""
    return _doable(clauses, allowed)[1]


def must_ancestors(clauses: Sequence[Iterable[int]], allowed: int) -> tuple[int, ...]:
    """For each operation of ``allowed``, what is done before it in every order, whatever else is done.

    The greatest solution of: ancestors of op = the union over its clauses of what all of a clause's members
    (and themselves) have in common. ``allowed`` must be reachable; the entries of others are empty.
    """
    before = [allowed if allowed >> op & 1 else 0 for op in range(len(clauses))]
    order = _by_depth(clauses, allowed)
    wanted = {op: [tuple(members(clause & allowed)) for clause in clauses[op]] for op in order}
    shrunk = True
    while shrunk:
        shrunk = False
        for op in order:
            found = 0
            for ways in wanted[op]:
                common = -1
                for member in ways:
                    common &= before[member] | 1 << member
                found |= common & allowed
            if found != before[op]:
                before[op] = found
                shrunk = True
    return tuple(before)


def _by_depth(clauses: Sequence[Iterable[int]], allowed: int) -> list[int]:
    """The operations in the sequence in which they can first be done: then one pass mostly suffices."""
    order, done = _doable(clauses, allowed)
    return order + list(members(allowed & ~done))


def _doable(clauses: Sequence[Iterable[int]], allowed: int) -> tuple[list[int], int]:
    """What of ``allowed`` can be done, in a sequence in which it can be, and as a set."""
    order: list[int] = []
    done, grown = 0, True
    while grown:
        grown = False
        for op in members(allowed & ~done):
            if all(clause & done for clause in clauses[op]):
                done |= 1 << op
                order.append(op)
                grown = True
    return order, done
