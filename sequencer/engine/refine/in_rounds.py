"""All steps from row to row of one table, so grouped that numpy takes many of them together.

A sweep takes the least over the steps that begin (or end) in a row. Steps of a layer are dealt out in
*rounds*, in none of which a row comes twice: so a round is one operation on whole rows, and there are no more
rounds than the most steps that one row has.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Protocol

import numpy as np

from sequencer.engine.base.bits import members

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sequencer.engine.refine.ideals import Ideals
    from sequencer.engine.stop import Budget

NARROW = 1 << 16
"""Numbers below it are sorted in one pass over each of their two bytes."""


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


class Links:
    """The steps of a table that rules do not bar and that may be on a way below the limit: one entry each.

    Attributes:
        before: The row that a step begins in.
        after: The row that it leads to.
        column: The set-up in which it is done.
    """

    def __init__(self, ideals: Ideals, rules: Binding | None, budget: Budget) -> None:
        """Those of a whole table, operation by operation; not all of them when time is up first."""
        found = []
        begun, ended = np.zeros((2, len(ideals)), dtype=np.int32)
        for op in members(ideals.kept):
            if budget.late:
                break
            before, after = ideals.steps(op, None if rules is None else rules.barred(op))
            column = np.full(len(before), ideals.column[ideals.job.setups[op]])
            found.append((before, after, column, begun[before], ended[after]))
            begun[before] += 1
            ended[after] += 1
        parts = zip(*found, strict=True) if found else [[np.zeros(0, dtype=np.int64)]] * 5
        self.before, self.after, self.column, self._begun, self._ended = map(np.concatenate, parts)
        self._ideals = ideals

    def by_before(self) -> Rounds:
        """In rounds in which none begins where another does."""
        return Rounds(self, self._begun, self._ideals.layers)

    def by_after(self) -> Rounds:
        """In rounds in which none ends where another does."""
        return Rounds(self, self._ended, self._ideals.layers)


class Rounds:
    """The same steps sorted by the layers that they begin in, and in each by rounds; as told by ``turns``."""

    def __init__(self, links: Links, turns: np.ndarray, layers: np.ndarray) -> None:
        self._most = int(turns.max(initial=0)) + 1
        every = (len(layers) - 1) * self._most
        row_keys = np.repeat(np.arange(0, every, self._most), np.diff(layers))
        keys = row_keys[links.before] + turns
        order = np.argsort(keys.astype(np.uint16) if every < NARROW else keys, kind="stable")
        self.before, self.after, self.column = (
            steps[order] for steps in (links.before, links.after, links.column)
        )
        counts = np.bincount(keys, minlength=every)
        self._ends = np.concatenate(([0], np.cumsum(counts)))

    def layer(self, number: int) -> tuple[slice, np.ndarray]:
        """The steps that begin in a layer, and where among them each round ends."""
        ends = self._ends[number * self._most : (number + 1) * self._most + 1]
        return slice(int(ends[0]), int(ends[-1])), ends - ends[0]


def rounds_of(chosen: np.ndarray, ends: np.ndarray) -> Iterator[slice]:
    """Each round among the steps of a layer that are chosen, by number."""
    bounds = np.searchsorted(chosen, ends).tolist()
    return (slice(begin, end) for begin, end in pairwise(bounds) if begin < end)
