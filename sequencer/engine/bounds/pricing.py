"""Prices for the bound of ``cuts``: a linear program's dual, by column generation.

Which groups to price is found as in column generation: those whose cut the flow of the solved program breaks
most, among unions, intersections and differences of the groups known. The prices are set for some states of a
job along a good order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.bounds.bounds import FINE, base_groups, direct_successors
from sequencer.engine.bounds.cuts import DualPrices
from sequencer.engine.bounds.program import Program

if TYPE_CHECKING:
    from sequencer.engine.base.job import Job
    from sequencer.engine.stop import Budget

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


def prices_for(
    job: Job,
    states: Sequence[tuple[int, int]],
    budget: Budget,
    used: Iterable[int] = (),
    rounds: int = ROUNDS,
) -> DualPrices:
    """Prices that are best on the whole for ``states`` of ``job``, pairs of (done, present set-up).

    Args:
        job: The job that the prices are to suit.
        states: Where they are to suit it.
        budget: Prices are less good where its time is up.
        used: More set-ups for which they are to hold.
        rounds: Of adding groups; few give a weaker bound soon.
    """
    return Pricing(job, states, budget, sorted({*job.setups, *used})).run(rounds)


class Pricing:
    """The linear program and its growing family of groups, as rows of zeros and ones."""

    def __init__(self, job: Job, states: Sequence[tuple[int, int]], budget: Budget, used: list[int]) -> None:
        self.job = job
        self.budget = budget
        self.used = used
        self.place = {setup: number for number, setup in enumerate(self.used)}
        self.at = np.array([self.place[setup] for setup in job.setups])
        self.forward = direct_successors(job)
        self.mean: np.ndarray | None = None
        self.states = self._placed(states)
        self.sinks = [op for op in range(job.size) if not job.descendants[op]]
        changes = job.costs.closure.changes
        size = len(self.used)
        self.cost = np.array([[changes[a][b] for b in self.used] for a in self.used], dtype=float)
        self.arcs = self._direct(size)
        self.ends = sorted({int(self.at[op]) for op in self.sinks})
        # the last limit is on the potential of the end: all of them together could rise without end
        costs, highest = self.cost[self.arcs[:, 0], self.arcs[:, 1]], self.cost.max(initial=0.0)
        limits = np.concatenate((costs, np.zeros(len(self.ends)), [highest]))
        self.program = Program(limits)
        self._add_potentials()
        self.groups = self.base = self._first_groups()
        self._add_groups(self.groups)

    def _placed(self, states: Sequence[tuple[int, int]]) -> list[tuple[np.ndarray, int]]:
        """What is undone in each state, and the present set-up."""
        every = range(self.job.size)
        return [(np.array([not done >> op & 1 for op in every]), self.place[s]) for done, s in states]

    def _direct(self, size: int) -> np.ndarray:
        """The changes that cost less than any two others by way of a third set-up: they imply the rest."""
        cost = self.cost
        direct = ~np.eye(size, dtype=bool)
        for via in range(size):
            apart = (cost[:, via, None] > 0) & (cost[None, via, :] > 0)
            direct &= ~(apart & (cost[:, via, None] + cost[None, via, :] <= cost))
        return np.argwhere(direct)

    def run(self, rounds: int) -> DualPrices:
        """The first prices."""
        program = self.program
        values: list[float] = []
        left = most = WORK // len(program.basis)
        for _ in range(rounds):
            if not self._solved(min(EXCHANGES, left)):
                break
            left = most - program.exchanges
            values.append(program.value())
            if len(values) > PATIENCE and values[-1] < values[-1 - PATIENCE] * GROWTH:
                break
            fresh = self._broken()
            if not len(fresh):
                break
            self._exchange_for(fresh)
        self._solved(max(0, min(EXCHANGES, most - program.exchanges)))
        return self._whole()

    def _solved(self, most: int) -> bool:
        return self.program.solve(most, lambda: self.budget.late)

    def _exchange_for(self, fresh: np.ndarray) -> None:
        """Forget groups that are worth nothing now, and take in others."""
        self.program.drop(len(self.used) + 1)
        self._add_groups(fresh)
        self.groups = np.vstack((self.groups, fresh))

    def _potential_values(self) -> np.ndarray:
        values = np.zeros(len(self.used) + 1)
        for _, present in self.states:
            values[present] += 1.0 / len(self.states)
        values[-1] = -1.0
        return values

    def _add_potentials(self) -> None:
        size, arcs = len(self.used), len(self.arcs)
        columns = np.zeros((arcs + len(self.ends) + 1, size + 1))
        columns[np.arange(arcs), self.arcs[:, 0]] += 1.0
        columns[np.arange(arcs), self.arcs[:, 1]] -= 1.0
        for number, end in enumerate(self.ends):
            columns[arcs + number, end] += 1.0
            columns[arcs + number, size] -= 1.0
        columns[-1, size] = 1.0
        self.program.add(columns, self._potential_values())

    def _add_groups(self, groups: np.ndarray) -> None:
        entered = groups[:, self.arcs[:, 1]] & ~groups[:, self.arcs[:, 0]]
        columns = np.vstack((entered.T.astype(float), np.zeros((len(self.ends) + 1, len(groups)))))
        self.program.add(columns, self._entries(groups))

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

    def _flow(self) -> np.ndarray:
        """How often the solved program changes from each set-up to each."""
        flow = np.zeros((len(self.used), len(self.used)))
        flow[self.arcs[:, 0], self.arcs[:, 1]] = self.program.duals()[: len(self.arcs)]
        return flow

    def _broken(self) -> np.ndarray:
        """The groups whose cut the program's flow breaks most, made of those that it prices now."""
        values = self.program.solution()[len(self.used) + 1 :]
        priced = self.groups[np.argsort(-values, kind="stable")[: max(1, int((values > TINY_PRICE).sum()))]]
        flow = self._flow()
        pool = priced[:PRICED] if self.mean is not None else np.vstack((priced[:PRICED], self.base))
        # the flow jumps from corner to corner; a mean with earlier ones breaks cuts that last (Wentges 1997)
        mean = flow if self.mean is None else SMOOTH * self.mean + (1 - SMOOTH) * flow
        self.mean = mean
        for point in (mean, flow):
            best = self._worst(pool, point)
            for _ in range(CLIMBS):
                best = self._worst(best, point)
            if len(best):
                break
        return best[:FRESH]

    def _worst(self, groups: np.ndarray, flow: np.ndarray) -> np.ndarray:
        """Of ``groups`` and what can be made of two of them, those whose cut ``flow`` breaks most."""
        pool = self._distinct(np.vstack((groups, self._combined(groups))))
        member = pool.astype(float)
        inflow = member @ flow.sum(axis=0) - ((member @ flow) * member).sum(axis=1)
        broken = self._entries(pool) - inflow
        ranked = np.argsort(-broken, kind="stable")[:CLIMB]
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

    def _whole(self) -> DualPrices:
        """Whole prices and potentials that keep every limit exactly."""
        values, groups = self.program.solution(), self.groups
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
        return DualPrices(chosen, dict(zip(self.used, potentials, strict=True)))

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
