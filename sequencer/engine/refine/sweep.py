"""What is left to pay from each ideal of a table, and what it takes to get there: sweeps over its layers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD, octets, split
from sequencer.engine.refine.in_rounds import Links, rounds_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.bitsets import Words
    from sequencer.engine.refine.ideals import Ideals
    from sequencer.engine.refine.in_rounds import Binding
    from sequencer.engine.stop import Budget


NEVER = 1 << 29
"""More than any cost; twice as much is a machine word still."""

SHORT = (1 << 14) - 1
"""The same for short words, which take half the time where costs are small."""

IDEALS_A_STATE = 4
"""Ideals that are as much work as a state of a search."""


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
        self.rules = rules
        costs, used = ideals.job.costs.closure, list(ideals.column)
        dearest = max(*costs.starts, *(max(row) for row in costs.changes))
        short = limit + dearest < SHORT
        self._type = np.int16 if short else np.int32
        self.never = SHORT if short else NEVER
        self._limits = np.array(
            [min(limit + own, self.never) for own in more or [0] * len(used)], dtype=self._type
        )
        changes = np.array([[costs.changes[a][b] for b in used] for a in used], dtype=self._type)
        out = changes[None] if rules is None else np.where(rules.shut, self._type(self.never), changes)
        # rows: by kind and set-up gone to, or gone from; columns: gone from, or gone to
        self._into = out.transpose(0, 2, 1).copy().reshape(-1, len(used))
        every = range(len(used))
        out[:, every, every] = 0  # who stays may go on from here by another way
        self._out = out.reshape(-1, len(used))
        self._starts = np.array([costs.starts[a] for a in used], dtype=self._type)
        self.left = np.zeros((0, len(used)), dtype=self._type)
        self.least = 0

    def run(self, budget: Budget) -> bool:
        """Sweep back, and forth if anything is below the limit; False when time is up first."""
        work = 1 + len(self.ideals) // IDEALS_A_STATE
        if budget.spend(work):
            return False
        links = Links(self.ideals, self.rules, budget)
        if budget.late or not self._back(links, budget):
            return False
        first = self._starts + self.left[0].astype(np.int64)
        self.least = min(self.limit, int(first.min()))
        return self.least >= self.limit or (not budget.spend(work) and self._forth(links, budget))

    def _back(self, links: Links, budget: Budget) -> bool:
        rounds, layers, shut = links.by_before(), self.ideals.layers, self.ideals.open
        ways = self._ways(rounds.before, rounds.column)
        left = np.full((len(self.ideals), len(self._starts)), self.never, dtype=self._type)
        left[-1] = 0
        for number in range(len(layers) - 2, -1, -1):
            steps, ends = rounds.layer(number)
            then = left[rounds.after[steps], rounds.column[steps]]
            chosen = np.flatnonzero(then < self.never)
            before, then, way = rounds.before[steps][chosen], then[chosen], ways[steps][chosen]
            for some in rounds_of(chosen, ends):
                through = self._into[way[some]]
                through += then[some, None]
                rows = before[some]
                left[rows] = np.minimum(left[rows], through)
            if shut is not None:
                layer = slice(layers[number], layers[number + 1])
                left[layer][~shut[layer]] = self.never
            if budget.late:
                return False
        self.left = left
        return True

    def _forth(self, links: Links, budget: Budget) -> bool:
        """Drop the ideals on no way below the limit; what is on none need not be followed."""
        rounds = links.by_after()
        ways = self._ways(rounds.after, rounds.column)
        reached = np.full_like(self.left, self.never)
        reached[0] = self._starts
        still = np.zeros(reached.shape, dtype=bool)
        for number in range(len(self.ideals.layers) - 1):
            steps, ends = rounds.layer(number)
            before, after, column = rounds.before[steps], rounds.after[steps], rounds.column[steps]
            so_far = reached[before, column]
            chosen = np.flatnonzero(so_far + self.left[after, column] < self._limits[column])
            still[before[chosen], column[chosen]] = True
            after, so_far, way = after[chosen], so_far[chosen], ways[steps][chosen]
            for some in rounds_of(chosen, ends):
                through = self._out[way[some]]
                through += so_far[some, None]
                rows = after[some]
                reached[rows] = np.minimum(reached[rows], through)
            if budget.late:
                return False
        reached += self.left
        still |= reached < self._limits
        rows = self.ideals.keep(still)
        self.left = self.left[rows]
        if self.rules is not None:
            self.rules.take(rows)
        return True

    def _ways(self, rows: np.ndarray, columns: np.ndarray) -> np.ndarray:
        """Where the changes into (or out of) set-ups are found that are those of certain rows."""
        return columns if self.rules is None else self.rules.kind[rows] * len(self._starts) + columns

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
