"""A lower bound on the changes that are still to come.

Every group of set-ups has to be entered as often as the longest chain of remaining operations changes into
it. Each entry is worth a price; the prices of all groups that a change enters add up to no more than the
change costs, so that the sum over the groups is a bound. A run of the present group continues free of charge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.job import Job
from sequencer.engine.base.trace import moves
from sequencer.engine.bounds.groups import partitions
from sequencer.engine.bounds.simplex import maximise

MOST_GROUPS = 400
"""Groups considered when prices are set; the coarsest are kept."""

MOST_CELLS = 200_000
"""Size of the linear program up to which prices are the best; beyond, they are merely good."""

FINE = 64
"""Prices are kept in parts of a unit of cost, so that rounding them down loses little."""


Guide = Callable[[int, int], int]
"""A bound on the changes to come, for what is done and the present set-up."""


@dataclass(frozen=True)
class Chains:
    """For one group: its set-ups, the price of an entry, and the operations that begin long chains.

    ``enter[k]`` holds the operations from which a chain leads that enters the group at least k + 1 times;
    ``stay[k]`` the same when the group is the present one, so that a chain that begins in it has its first
    run free.
    """

    setups: int
    price: int
    enter: tuple[int, ...]
    stay: tuple[int, ...]


class RunBound:
    """The bound for every state of one job; consistent: it falls by no more than a change costs."""

    def __init__(
        self,
        job: Job,
        known: RunBound | None = None,
        used: Sequence[int] | None = None,
        late: Callable[[], bool] = lambda: False,
    ) -> None:
        """Price the groups for ``job``.

        Args:
            job: What is to be ordered.
            known: Take the prices of this bound instead; it was made with all the set-ups of ``job``.
            used: The set-ups to consider; those of ``job`` if left out.
            late: Ends the pricing with what there is by then.
        """
        forward = direct_successors(job)
        if known is None:
            used = sorted(used or set(job.setups))
            changes = job.costs.closure.changes
            groups = base_groups(changes, used)
            levels = [levels_of(job, group, forward) for group in groups]
            prices = _prices(changes, used, groups, [len(enter) for enter, _ in levels], late)
        else:
            groups = [chain.setups for chain in known.chains]
            levels = [levels_of(job, group, forward) for group in groups]
            prices = [chain.price for chain in known.chains]
        self.chains: list[Chains] = [
            Chains(group, price, *level)
            for group, price, level in zip(groups, prices, levels, strict=True)
            if price and level[0]
        ]
        self._tables = [
            [(chain.price, chain.stay if chain.setups >> setup & 1 else chain.enter) for chain in self.chains]
            for setup in range(len(job.costs.starts))
        ]
        self._all = job.all

    def __call__(self, done: int, setup: int) -> int:
        """A bound on the changes after ``done``, with ``setup`` present and nothing ready in it."""
        undone = self._all & ~done
        total = 0
        for price, levels in self._tables[setup]:
            for level in levels:
                if not level & undone:
                    break
                total += price
        return -(-total // FINE)


def beginning(job: Job, guide: Guide) -> int:
    """A bound on all the changes of ``job``, from before its first operation."""
    first = (cost + guide(done, setup) for done, _, setup, cost in moves(job, 0, job.first, -1))
    return min(first, default=0)


def base_groups(changes: Sequence[Sequence[int]], used: Sequence[int]) -> list[int]:
    """The distinct classes of all partitions, as sets of set-ups, coarse ones first."""
    groups: dict[int, None] = {}
    for partition in partitions(tuple(map(tuple, changes)), tuple(used)):
        for number in range(max(partition, default=-1) + 1):
            groups.setdefault(mask_of(s for s in used if partition[s] == number))
    every = mask_of(used)
    kept = [group for group in groups if group != every]
    return sorted(kept, key=lambda group: (-group.bit_count(), group))[:MOST_GROUPS]


def direct_successors(job: Job) -> list[tuple[int, list[int]]]:
    """The operations, last first, each with those that follow it directly in every order."""
    before = job.ancestors
    after: list[list[int]] = [[] for _ in before]
    for op, ancestors in enumerate(before):
        direct = ancestors
        for other in members(ancestors):
            direct &= ~before[other]
        for other in members(direct):
            after[other].append(op)
    order = sorted(range(job.size), key=lambda op: -before[op].bit_count())
    return [(op, after[op]) for op in order]


def levels_of(
    job: Job, group: int, forward: list[tuple[int, list[int]]]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The operations from which a chain enters ``group`` so often; while it is absent, and present."""
    return _levels([group >> setup & 1 for setup in job.setups], forward)


def chain_levels(
    job: Job, ops: int, forward: list[tuple[int, list[int]]]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The same for a group of operations, whatever their set-ups."""
    return _levels([ops >> op & 1 for op in range(job.size)], forward)


def _levels(
    inside: Sequence[int], forward: list[tuple[int, list[int]]]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    # Entries from an operation on, its own counted and not; plain comparisons, since most of a bound is here.
    runs, rest = [0] * len(inside), [0] * len(inside)
    entering, staying = [0], [0]
    for op, after in forward:
        most = 0
        if inside[op]:
            for other in after:
                if rest[other] > most:  # noqa: PLR1730 - see above
                    most = rest[other]
            rest[op] = most
            most += 1
        else:
            for other in after:
                if runs[other] > most:  # noqa: PLR1730 - see above
                    most = runs[other]
            rest[op] = most
        runs[op] = most
        if most >= len(entering):
            entering.append(0)
            staying.append(0)
        entering[most] |= 1 << op
        staying[rest[op]] |= 1 << op
    return _at_least(entering), _at_least(staying)


def _at_least(exactly: Sequence[int]) -> tuple[int, ...]:
    """From the sets with just 0, 1, 2 … the sets with at least 1, 2 …, as far as there are any."""
    found = []
    sofar = 0
    for ops in reversed(exactly[1:]):
        sofar |= ops
        found.append(sofar)
    return tuple(level for level in reversed(found) if level)


def _prices(
    changes: Sequence[Sequence[int]],
    used: Sequence[int],
    groups: Sequence[int],
    runs: Sequence[int],
    late: Callable[[], bool],
) -> list[int]:
    """The prices that make the bound at the beginning greatest, in parts of 1 / ``FINE``."""
    rows: dict[tuple[int, ...], int] = {}
    for a in used:
        for b in used:
            if a != b:
                entered = tuple(g for g, group in enumerate(groups) if group >> b & 1 and not group >> a & 1)
                rows[entered] = min(rows.get(entered, changes[a][b]), changes[a][b])
    if len(rows) * len(groups) > MOST_CELLS:
        return _greedy_prices(rows, groups, runs)
    found = maximise(runs, list(rows), list(rows.values()), late=late)
    prices = [int(FINE * price) for price in found]
    for entered, cost in rows.items():
        for g in entered:
            over = sum(prices[other] for other in entered) - FINE * cost
            if over <= 0:
                break
            prices[g] -= min(prices[g], over)
    return prices


def _greedy_prices(rows: dict[tuple[int, ...], int], groups: Sequence[int], runs: Sequence[int]) -> list[int]:
    """Prices by raising one group after the other as far as the changes allow."""
    slack = {entered: FINE * cost for entered, cost in rows.items()}
    touched: list[list[tuple[int, ...]]] = [[] for _ in groups]
    for entered in slack:
        for g in entered:
            touched[g].append(entered)
    prices = [0] * len(groups)
    for g in sorted(range(len(groups)), key=lambda g: (-runs[g] * groups[g].bit_count(), g)):
        prices[g] = min((slack[entered] for entered in touched[g]), default=0)
        for entered in touched[g]:
            slack[entered] -= prices[g]
    return prices
