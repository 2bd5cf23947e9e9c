"""What is left to pay from each ideal of a table, and what it takes to get there: sweeps over its layers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD, octets, split

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.refine.ideals import Ideals
    from sequencer.engine.stop import Budget

    Step = tuple[int, np.ndarray, np.ndarray]
    """(column of the set-up, rows before an operation, rows after it)."""

NEVER = 1 << 29
"""More than any cost; twice as much is a machine word still."""

SHORT = (1 << 14) - 1
"""The same for short words, which take half the time where costs are small."""

IDEALS_A_STATE = 4
"""Ideals that are as much work as a state of a search."""


class Binding(Protocol):
    """What rules are sure to forbid in the ideals of one table.

    Attributes:
        kind: For each ideal, the number of its row in ``shut``.
        shut: By kind, from which set-up (a column) nobody goes on to which other.
    """

    kind: np.ndarray
    shut: np.ndarray

    def barred(self, op: int) -> np.ndarray | None:
        """In which ideals an operation can't come next at all; None: in none."""

    def take(self, rows: np.ndarray) -> None:
        """Only these ideals are left."""


class Sweep:
    """Exact costs of the job of the kept operations, ideal by ideal.

    Attributes:
        left: For each ideal and present set-up (a column), the least that the changes to come cost; ``never``
            where by earlier sweeps nothing below the limit passes.
        least: The least cost of the whole, or the limit if there is none below it.
    """

    def __init__(
        self, ideals: Ideals, limit: int, rules: Binding | None = None, more: Sequence[int] | None = None
    ) -> None:
        """Begin with nothing known.

        Args:
            ideals: The table.
            limit: Orders of what is kept that cost as much are of no interest.
            rules: What they are sure to forbid.
            more: For each set-up (a column), by how much the limit is higher for orders that go there for
                something that is left out.
        """
        self.ideals = ideals
        self.limit = limit
        self._more = np.array(more or [0] * len(ideals.column))
        self.rules = rules
        costs, used = ideals.job.costs.closure, list(ideals.column)
        dearest = max(*costs.starts, *(max(row) for row in costs.changes))
        short = limit + dearest < SHORT
        self._type = np.int16 if short else np.int32
        self.never = SHORT if short else NEVER
        changes = np.array([[costs.changes[a][b] for b in used] for a in used], dtype=self._type)
        # by kind, from where, to where; and by kind, to where, from where
        self._out = changes[None] if rules is None else np.where(rules.shut, self._type(self.never), changes)
        self._into = self._out.transpose(0, 2, 1).copy()
        every = range(len(used))
        self._out[:, every, every] = 0  # who stays may go on from here by another way
        self._starts = np.array([costs.starts[a] for a in used], dtype=self._type)
        self._layers: list[list[Step]] = []
        self.left = np.zeros((0, len(used)), dtype=self._type)
        self.least = 0

    def run(self, budget: Budget) -> bool:
        """Sweep back, and forth if anything is below the limit; False when time is up first."""
        work = 1 + len(self.ideals) // IDEALS_A_STATE
        if budget.spend(work) or not self._link(budget) or not self._back(budget):
            return False
        first = self._starts + self.left[0].astype(np.int64)
        self.least = min(self.limit, int(first.min()))
        whole = self.least >= self.limit or (not budget.spend(work) and self._forth(budget))
        self._layers = []
        return whole

    def _link(self, budget: Budget) -> bool:
        """Find for every layer what can be done in it."""
        layers = self.ideals.layers
        self._layers = [[] for _ in layers[:-1]]
        for op in members(self.ideals.kept):
            if budget.late:
                return False
            column = self.ideals.column[self.ideals.job.setups[op]]
            barred = None if self.rules is None else self.rules.barred(op)
            before, after = self.ideals.steps(op, barred)
            ends = np.searchsorted(before, layers).tolist()
            for number in range(len(layers) - 1):
                begin, end = ends[number], ends[number + 1]
                if begin < end:
                    self._layers[number].append((column, before[begin:end], after[begin:end]))
        return True

    def _back(self, budget: Budget) -> bool:
        left = np.full((len(self.ideals), len(self._starts)), self.never, dtype=self._type)
        left[-1] = 0
        shut = None if self.ideals.open is None else ~self.ideals.open
        layers = self.ideals.layers
        for number in range(len(self._layers) - 1, -1, -1):
            for column, before, after in self._layers[number]:
                through = left[after, column][:, None] + self._table(self._into, before, column)
                left[before] = np.minimum(left[before], through)
            if shut is not None:
                layer = slice(layers[number], layers[number + 1])
                left[layer][shut[layer]] = self.never
            if budget.late:
                return False
        self.left = left
        return True

    def _forth(self, budget: Budget) -> bool:
        """Drop the ideals on no way below the limit."""
        reached = np.full_like(self.left, self.never)
        reached[0] = self._starts
        for layer in self._layers:
            for column, before, after in layer:
                through = reached[before, column][:, None] + self._table(self._out, after, column)
                reached[after] = np.minimum(reached[after], through)
            if budget.late:
                return False
        reached += self.left
        rows = self.ideals.keep(reached < self.limit + self._more)
        self.left = self.left[rows]
        if self.rules is not None:
            self.rules.take(rows)
        return True

    def _table(self, changes: np.ndarray, rows: np.ndarray, column: int) -> np.ndarray:
        """What it costs to go from a set-up to each other, or from each, in certain rows."""
        own: np.ndarray = changes[:, column]
        return own if self.rules is None else own[self.rules.kind[rows]]

    def walk(self) -> list[int]:
        """An order of the kept operations that costs the least, in which no ready one is passed by."""
        ideals, job = self.ideals, self.ideals.job
        changes, starts = job.costs.closure.changes, job.costs.closure.starts
        order: list[int] = []
        done, key, present = 0, 0, -1
        at = self._row(0, 0)
        while done != ideals.kept:
            best: tuple[int, int, int, int, int] | None = None
            for op in members(ideals.kept & ~done):
                if job.ancestors[op] & ideals.kept & ~done:
                    continue
                setup = job.setups[op]
                then = key + int(ideals.numbers[op])
                row = self._row(done | 1 << op, then)
                if row < 0 or self._forbidden(at, present, op):
                    continue
                change = starts[setup] if present < 0 else changes[present][setup]
                move = (change + int(self.left[row, ideals.column[setup]]), change, op, then, row)
                if best is None or move < best:
                    best = move
            assert best is not None
            order.append(best[2])
            done, key, present, at = done | 1 << best[2], best[3], job.setups[best[2]], best[4]
        return order

    def _forbidden(self, row: int, present: int, op: int) -> bool:
        """Whether a rule forbids that ``op`` comes next."""
        rules = self.rules
        if rules is None:
            return False
        barred = rules.barred(op)
        if barred is not None and barred[row]:
            return True
        column = self.ideals.column
        to = column[self.ideals.job.setups[op]]
        return present >= 0 and bool(rules.shut[rules.kind[row], column[present], to])

    def _row(self, done: int, key: int) -> int:
        words = [np.array([part], dtype=np.uint64) for part in split(done, len(self.ideals.words))]
        return int(self.ideals.rows_of(words, np.array([key], dtype=np.uint64))[0])


class SweepBound:
    """The bound that a sweep gives for thousands of states of the whole job.

    It is one for states on an order that costs less than the sweep's limit: searches that use it must not
    look for others. It holds until the table takes in more.
    """

    def __init__(self, sweep: Sweep) -> None:
        ideals = sweep.ideals
        self._sweep = sweep
        self._kept = [np.uint64(part) for part in split(ideals.kept, len(ideals.words))]
        self._keys = np.zeros((WORD // 8 * len(ideals.words), 256), dtype=np.uint64)
        for op in members(ideals.kept):
            values = np.arange(256) >> op % 8 & 1
            self._keys[op // 8] += values.astype(np.uint64) * ideals.numbers[op]
        every = max(ideals.column, default=0) + 1
        self._columns = np.full(every, -1, dtype=np.int64)
        for setup, column in ideals.column.items():
            self._columns[setup] = column

    def bound(self, done: Words, present: np.ndarray) -> np.ndarray:
        """A bound on the changes to come, for every state; ``present`` holds the set-ups."""
        kept = [words & mask for words, mask in zip(done, self._kept, strict=True)]
        held = octets(kept)
        keys = np.zeros(len(held), dtype=np.uint64)
        for number, table in enumerate(self._keys):
            keys += table[held[:, number]]
        rows = self._sweep.ideals.rows_of(kept, keys)
        bound: np.ndarray = self._sweep.left[rows, self._columns[present]].astype(np.int64)
        bound[rows < 0] = self._sweep.never
        return bound
