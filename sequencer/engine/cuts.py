"""A strong lower bound on the changes still to come: priced cuts and potentials, by column generation.

The changes of an order are a walk through the set-ups. Every group of set-ups has to be entered at least as
often as the longest chain of remaining operations changes into it (a cut), and a set-up that is entered is
left again, except at the end (potentials). The bound is the linear program's dual: a price p for each group
and a potential u for each set-up, such that no change from a to b costs less than the prices of the groups
that it enters plus u[a] − u[b]. Then what is still to come costs at least

    Σ price × entries + u[present] − u[last],

and the last set-up is one of those in which a remaining operation ends a chain. Which groups to price is
found as in column generation: those whose cut the flow of the solved program breaks most, among unions,
intersections and differences of the groups known. The prices are set for the states along a good order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.bits import mask_of, members
from sequencer.engine.bounds import FINE, base_groups, direct_successors, levels_of
from sequencer.engine.program import Program

if TYPE_CHECKING:
    from sequencer.engine.job import Job

ROUNDS, FRESH, EXCHANGES = 18, 40, 1_500
"""Rounds of adding groups, groups added in a round, exchanges of the simplex method in a round."""

WORK = 3_000_000
"""Exchanges times limits of the program, in all; one with many set-ups ends before it is perfect."""

PATIENCE, GROWTH = 4, 1.001
"""When so many rounds together raise the bound by less than this factor, they end."""

CLIMB, CLIMBS, BROKEN = 60, 1, 1e-6
"""Groups kept and times repeated in looking for the cuts broken most; less than ``BROKEN`` is no breach."""

SMOOTH = 0.6
"""Weight of the flows of earlier rounds."""

TINY_PRICE = 1e-6
"""A price below this is none."""

PRICED = 50
"""Groups priced at present that are combined with each other and with those found in the costs."""


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
class Prices:
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


def prices_for(
    job: Job, states: Sequence[tuple[int, int]], used: Iterable[int] = (), rounds: int = ROUNDS
) -> Prices:
    """Prices that are best on the whole for ``states`` of ``job``, pairs of (done, present set-up).

    Args:
        job: The job that the prices are to suit.
        states: Where they are to suit it.
        used: More set-ups for which they are to hold.
        rounds: Of adding groups; few give a weaker bound soon.
    """
    return _Pricing(job, states, sorted({*job.setups, *used})).run(rounds)


class _Pricing:
    """The linear program and its growing family of groups, as rows of zeros and ones."""

    def __init__(self, job: Job, states: Sequence[tuple[int, int]], used: list[int]) -> None:

        self.job = job
        self.used = used
        self.place = {setup: number for number, setup in enumerate(self.used)}
        self.at = np.array([self.place[setup] for setup in job.setups])
        self.forward = direct_successors(job)
        self.mean: np.ndarray | None = None
        self.states = [
            (np.array([not done >> op & 1 for op in range(job.size)]), self.place[setup])
            for done, setup in states
        ]
        self.sinks = [op for op in range(job.size) if not job.descendants[op]]
        changes = job.costs.closure.changes
        size = len(self.used)
        self.cost = np.array([[changes[a][b] for b in self.used] for a in self.used], dtype=float)
        self.arcs = self._direct(size)
        self.ends = sorted({int(self.at[op]) for op in self.sinks})

    def _direct(self, size: int) -> np.ndarray:
        """The changes that cost less than any two others by way of a third set-up: they imply the rest."""
        cost = self.cost
        direct = ~np.eye(size, dtype=bool)
        for via in range(size):
            apart = (cost[:, via, None] > 0) & (cost[None, via, :] > 0)
            direct &= ~(apart & (cost[:, via, None] + cost[None, via, :] <= cost))
        return np.argwhere(direct)

    def run(self, rounds: int) -> Prices:
        tails, heads = self.arcs[:, 0], self.arcs[:, 1]
        limits = np.concatenate((self.cost[tails, heads], np.zeros(len(self.ends))))
        program = Program(limits)
        self._add_potentials(program)
        groups = self.base = self._first_groups()
        self._add_groups(program, groups)
        values: list[float] = []
        left = most = WORK // len(limits)
        for _ in range(rounds):
            if not program.solve(min(EXCHANGES, left)):
                break
            left = most - program.exchanges
            values.append(program.value())
            if len(values) > PATIENCE and values[-1] < values[-1 - PATIENCE] * GROWTH:
                break
            fresh = self._broken(program, groups)
            if not len(fresh):
                break
            program.drop(len(self.used) + 1)
            self._add_groups(program, fresh)
            groups = np.vstack((groups, fresh))
        program.solve(max(0, min(EXCHANGES, most - program.exchanges)))
        return self._whole(program, groups)

    def _add_potentials(self, program: Program) -> None:
        size, arcs = len(self.used), len(self.arcs)
        columns = np.zeros((arcs + len(self.ends), size + 1))
        columns[np.arange(arcs), self.arcs[:, 0]] += 1.0
        columns[np.arange(arcs), self.arcs[:, 1]] -= 1.0
        values = np.zeros(size + 1)
        for number, end in enumerate(self.ends):
            columns[arcs + number, end] += 1.0
            columns[arcs + number, size] -= 1.0
        for _, present in self.states:
            values[present] += 1.0 / len(self.states)
        values[size] = -1.0
        program.add(columns, values)

    def _add_groups(self, program: Program, groups: np.ndarray) -> None:
        entered = groups[:, self.arcs[:, 1]] & ~groups[:, self.arcs[:, 0]]
        columns = np.vstack((entered.T.astype(float), np.zeros((len(self.ends), len(groups)))))
        program.add(columns, self._entries(groups))

    def _first_groups(self) -> np.ndarray:
        changes = self.job.costs.closure.changes
        found = [[setup in set(members(g)) for setup in self.used] for g in base_groups(changes, self.used)]
        groups = np.array(found, dtype=bool).reshape(-1, len(self.used))
        return self._distinct(np.vstack((groups, ~groups)))

    def _entries(self, groups: np.ndarray) -> np.ndarray:
        """For each group, how often it has to be entered at the least; the mean over the states."""
        inside = groups[:, self.at].astype(np.int16)
        runs = np.zeros((len(groups), self.job.size), dtype=np.int16)
        for op, after in self.forward:
            if after:
                here = inside[:, op]
                best = runs[:, after[0]] + here * (1 - inside[:, after[0]])
                for other in after[1:]:
                    best = np.maximum(best, runs[:, other] + here * (1 - inside[:, other]))
                runs[:, op] = best
            else:
                runs[:, op] = inside[:, op]
        total = np.zeros(len(groups))
        for undone, present in self.states:
            free = groups[:, present].astype(np.int16)[:, None] * inside[:, undone]
            total += (runs[:, undone] - free).max(axis=1, initial=0)
        return total / len(self.states)

    def _broken(self, program: Program, groups: np.ndarray) -> np.ndarray:
        """The groups whose cut the program's flow breaks most, made of those that it prices now."""
        values = program.solution()[len(self.used) + 1 :]
        priced = groups[np.argsort(-values, kind="stable")[: max(1, int((values > TINY_PRICE).sum()))]]
        flow = np.zeros((len(self.used), len(self.used)))
        flow[self.arcs[:, 0], self.arcs[:, 1]] = program.duals()[: len(self.arcs)]
        pool = priced[:PRICED] if self.mean is not None else np.vstack((priced[:PRICED], self.base))
        # the flow jumps from corner to corner; a mean with earlier ones breaks cuts that last (Wentges 1997)
        mean = flow if self.mean is None else SMOOTH * self.mean + (1 - SMOOTH) * flow
        self.mean = mean
        for point in (mean, flow):
            best = self._worst(pool, point, CLIMB)
            for _ in range(CLIMBS):
                best = self._worst(best, point, CLIMB)
            if len(best):
                break
        return best[:FRESH]

    def _worst(self, groups: np.ndarray, flow: np.ndarray, count: int) -> np.ndarray:
        """Of ``groups`` and what can be made of two of them, those whose cut ``flow`` breaks most."""
        pool = self._distinct(np.vstack((groups, self._combined(groups))))
        member = pool.astype(float)
        inflow = member @ flow.sum(axis=0) - ((member @ flow) * member).sum(axis=1)
        broken = self._entries(pool) - inflow
        ranked = np.argsort(-broken, kind="stable")[:count]
        worst: np.ndarray = pool[ranked[broken[ranked] > BROKEN]]
        return worst

    def _combined(self, groups: np.ndarray) -> np.ndarray:
        first, second = np.triu_indices(len(groups), 1)
        a, b = groups[first], groups[second]
        single = np.eye(len(self.used), dtype=bool)
        one = (groups[:, None, :] ^ single[None, :, :]).reshape(-1, len(self.used))
        return np.vstack((a | b, a & b, a & ~b, b & ~a, one))

    def _distinct(self, groups: np.ndarray) -> np.ndarray:
        """Without doubles (told by a weighted sum: chance would only lose a group), none, and all."""
        weights = np.sqrt(np.arange(2, len(self.used) + 2)) % 1.0
        counts = groups.sum(axis=1)
        groups = groups[(counts > 0) & (counts < len(self.used))]
        _, first = np.unique(groups @ weights, return_index=True)
        return groups[np.sort(first)]

    def _whole(self, program: Program, groups: np.ndarray) -> Prices:
        """Whole prices and potentials that keep every limit exactly."""
        values = program.solution()
        size = len(self.used)
        prices = [int(FINE * value) for value in values[size + 1 :]]
        potentials = self._safe_potentials([round(FINE * value) for value in values[:size]])
        changes = self.job.costs.closure.changes
        priced = [(g, price) for g, price in enumerate(prices) if price]
        rows = {g: groups[g].tolist() for g, _ in priced}
        final = dict(priced)
        for a, b in self.arcs.tolist():
            over = potentials[a] - potentials[b] - FINE * changes[self.used[a]][self.used[b]]
            entered = [g for g, _ in priced if rows[g][b] and not rows[g][a]]
            over += sum(final[g] for g in entered)
            for g in entered:
                less = max(0, min(final[g], over))
                final[g] -= less
                over -= less
        chosen = [
            (price, mask_of(self.used[s] for s, inside in enumerate(rows[g]) if inside))
            for g, price in final.items()
            if price
        ]
        return Prices(chosen, dict(zip(self.used, potentials, strict=True)))

    def _safe_potentials(self, potentials: list[int]) -> list[int]:
        """Potentials alone must not promise more than a change costs: lower them along the cheapest ways."""
        changes = self.job.costs.closure.changes
        return [
            min(
                potentials[b] + FINE * (changes[self.used[a]][self.used[b]] if a != b else 0)
                for b in range(len(self.used))
            )
            for a in range(len(self.used))
        ]
