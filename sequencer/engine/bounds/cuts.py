"""A strong lower bound on the changes still to come: priced cuts and potentials.

The changes of an order are a walk through the set-ups. Every group of set-ups has to be entered at least as
often as the longest chain of remaining operations changes into it (a cut), and a set-up that is entered is
left again, except at the end (potentials). With a price p for each group and a potential u for each set-up,
such that no change from a to b costs less than the prices of the groups that it enters plus u[a] − u[b], what
is still to come costs at least

    Σ price × entries + u[present] − u[last],

and the last set-up is one of those in which a remaining operation ends a chain. Where prices come from is
told in ``pricing``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sequencer.engine.bounds.bounds import FINE, direct_successors, levels_of

if TYPE_CHECKING:
    from sequencer.engine.base.job import Job


@dataclass(frozen=True)
class Cuts:
    """Prices and potentials, in parts of 1 / ``fine``.

    Attributes:
        priced: (price, group of set-ups, by length the operations that begin long enough chains; the same
            while the group is present, so that a first run in it is free).
        potentials: u, for each set-up.
        lasts: (u, operations that end a chain in a set-up with that u), the greatest u first.
        all: Every operation.
    """

    priced: list[tuple[int, int, tuple[int, ...], tuple[int, ...]]]
    potentials: list[int]
    lasts: list[tuple[int, int]]
    all: int
    fine: int = FINE

    def __call__(self, done: int, setup: int) -> int:
        """The bound for one state; ``setup`` is present and nothing ready in it."""
        undone = self.all & ~done
        if not undone:
            return 0
        total = self.potentials[setup]
        for price, group, enter, stay in self.priced:
            for level in stay if group >> setup & 1 else enter:
                if not level & undone:
                    break
                total += price
        last = next(u for u, ops in self.lasts if ops & undone)
        return max(0, -((last - total) // self.fine))


@dataclass(frozen=True)
class DualPrices:
    """What holds for every job with the same changes: (price, group of set-ups), and a potential a set-up."""

    groups: list[tuple[int, int]]
    potentials: dict[int, int]

    def on(self, job: Job) -> Cuts:
        """The bound for a job whose set-ups are all among those that the prices were made for."""
        forward = direct_successors(job)
        priced = []
        for price, group in self.groups:
            enter, stay = levels_of(job, group, forward)
            if enter:
                priced.append((price, group, enter, stay))
        every = range(len(job.costs.starts))
        least = min(self.potentials.values(), default=0)
        ends: dict[int, int] = {}
        for op in range(job.size):
            if not job.descendants[op]:
                potential = self.potentials[job.setups[op]]
                ends[potential] = ends.get(potential, 0) | 1 << op
        lasts = sorted(ends.items(), reverse=True)
        return Cuts(priced, [self.potentials.get(s, least) for s in every], lasts, job.all)
