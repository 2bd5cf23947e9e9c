"""What changes cost, and which arguments their triangle inequality allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from operator import sub

Matrix = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Costs:
    """Costs of going from one set-up to another (m × m, diagonal 0) and of making one the first (m)."""

    changes: Matrix
    starts: tuple[int, ...]

    @cached_property
    def safe(self) -> tuple[bool, ...]:
        """For each set-up, whether it is never worth a visit for the sake of the way.

        Then an operation taken out of the middle of an order leaves nothing dearer behind.
        """
        every = range(len(self.starts))
        return tuple(
            all(max(map(sub, row, self.changes[via])) <= row[via] for row in self.changes) for via in every
        )

    @cached_property
    def closed(self) -> bool:
        """Whether no detour is cheaper than the direct change, the first set-up included."""
        every = range(len(self.starts))
        return all(self.safe) and all(
            self.starts[b] <= self.starts[a] + self.changes[a][b] for a in every for b in every
        )

    @cached_property
    def closure(self) -> Costs:
        """Every change at its cheapest detour (Floyd–Warshall): a bound on the literal costs."""
        if self.closed:
            return self
        every = range(len(self.starts))
        best = [list(row) for row in self.changes]
        for via in every:
            for a in every:
                for b in every:
                    best[a][b] = min(best[a][b], best[a][via] + best[via][b])
        starts = tuple(min(self.starts[a] + best[a][b] for a in every) for b in every)
        return Costs(tuple(map(tuple, best)), starts)

    def of(self, setups: Sequence[int]) -> int:
        """The cost of going through ``setups`` in this sequence."""
        if not setups:
            return 0
        return self.starts[setups[0]] + sum(self.changes[a][b] for a, b in pairwise(setups))
