"""Putting a fixed set of operations in order: merge, look for a good order, prove it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from sequencer.engine.beam import Found, beam
from sequencer.engine.bounds import Guide, RunBound
from sequencer.engine.job import Job
from sequencer.engine.merge import merge
from sequencer.engine.search import best_first
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.trace import in_sequence, moves

if TYPE_CHECKING:
    from sequencer.engine.cuts import Prices

FIRST_WIDTH, FIRST_STATES = 10, 1_500
"""What is tried before numpy is imported, which takes a tenth of a second; small jobs end here."""

STATES_A_ROUND = 100
"""Width of a wave for each descent of the local search after it."""

MOVES = 4
"""States that memory has to hold for each kept: its moves, before doubles are dropped."""

LARGE, STATES_A_WINDOW, WINDOW_WIDTH = 90, 10, 300
"""Blocks from which windows of an order are searched again; width of a wave for each; width within."""

FIRST_PRICING = 3
"""Rounds of pricing before the first wave: many jobs need no better bound."""

FIRST_ROUNDS = 300
"""Descents before the first wave where every operation has a set-up of its own."""

FEW = 100
"""States tried so where strong prices are at hand, and numpy with them."""

WIDTHS = (1_000, 10_000, 100_000)
"""States kept a visit in turn; at last as many as memory allows."""

STATES = 6
"""States along a good order that prices are set for."""

WIDE = 1 << 50
"""Costs in parts of a unit stay below this, so that machine words and doubles hold them exactly."""

Report = Callable[[Found], None]


def sequence(
    job: Job,
    cutoff: int,
    budget: Budget,
    warm: Sequence[int] | None = None,
    report: Report | None = None,
    prices: Prices | None = None,
) -> Found:
    """The cheapest order of ``job`` that costs less than ``cutoff``.

    Args:
        job: A feasible job.
        cutoff: Orders that cost as much are of no interest.
        budget: The limits of the whole question.
        warm: An order that may be good; one that isn't valid is ignored.
        report: Called whenever a round ends, with the best order and the bound.
        prices: For the bound, if there are some that suit.
    """
    merged = merge(job)
    best = Found(None, cutoff, 0)
    if warm is not None and job.valid(warm) and job.cost(warm) < cutoff:
        best = Found(list(warm), job.cost(warm), 0)
    for found in _rounds(merged.job, best.cost, budget, prices):
        order = best.order if found.order is None else merged.unfold(found.order)
        best = Found(order, min(best.cost, found.cost), max(best.bound, found.bound))
        if report is not None:
            report(best)
        if best.complete or budget.over or _near(best, budget):
            break
    return best


def _rounds(job: Job, cutoff: int, budget: Budget, prices: Prices | None) -> Iterator[Found]:
    """One method after the other, each with the best cost so far as its cutoff."""
    guide: Guide = RunBound(job) if prices is None else prices.on(job)
    vector = packable(job, cutoff)
    quick = vector and prices is not None
    found = beam(job, guide, 1 if quick else FIRST_WIDTH, cutoff, budget)
    order = found.order
    yield found
    found = best_first(job, guide, found.cost, budget, (FEW if quick else FIRST_STATES) if vector else None)
    yield found
    if vector:
        yield from _waves(job, found.cost, budget, order, prices)


def _waves(
    job: Job, cutoff: int, budget: Budget, order: list[int] | None, prices: Prices | None
) -> Iterator[Found]:
    """Wider and wider waves; prices that suit the job itself when those at hand don't do."""
    from sequencer.engine.cuts import prices_for
    from sequencer.engine.local import SegmentExchange
    from sequencer.engine.packed import Packed
    from sequencer.engine.wave import waves
    from sequencer.engine.window import Windows

    most = max(1, budget.limits.memory_states // MOVES)
    if prices is not None:
        packed = Packed(job, prices.on(job))
        for width in WIDTHS[:2]:
            found = waves(packed, min(width, most), cutoff, budget)
            order, cutoff = found.order or order, found.cost
            yield found
    search = None if any(job.ors) else SegmentExchange(job)
    order = order or greedy(job)
    states_a_round = STATES_A_ROUND
    if search is not None and alone(job):
        states_a_round //= 20
        order, cost = search.search(order, FIRST_ROUNDS, budget)
        if cost < cutoff:
            cutoff = cost
            yield Found(order, cost, 0)
    if prices is None:
        soon = prices_for(job, along(job, order), rounds=FIRST_PRICING)
        packed = Packed(job, soon.on(job))
        for width in WIDTHS[: 1 if job.size > LARGE else 2]:
            found = waves(packed, min(width, most), cutoff, budget)
            order, cutoff = found.order or order, found.cost
            yield found
    prices = prices_for(job, along(job, order))
    packed = Packed(job, prices.on(job))
    windows = Windows(job, prices) if job.costs.closed else None
    for width in (*WIDTHS, most):
        found = waves(packed, min(width, most), cutoff, budget)
        order, cutoff = found.order or order, found.cost
        yield found
        if windows is not None and order is not None and job.size > LARGE:
            order = windows.search(order, width // STATES_A_WINDOW, WINDOW_WIDTH, budget)
        elif search is not None and order is not None:
            order, _ = search.search(order, width // states_a_round, budget)
        if order is not None and job.cost(order) < cutoff:
            cutoff = job.cost(order)
            yield Found(order, cutoff, 0)


def alone(job: Job) -> bool:
    """Whether every operation has a set-up of its own, as in the sequential ordering problem."""
    return all(not ops & (ops - 1) for ops in job.in_setup)


def packable(job: Job, cutoff: int) -> bool:
    """Whether numpy can do it: each set-up safe to exhaust or alone, costs within machine words."""
    dearest = max(job.costs.starts) + max(max(row) for row in job.costs.changes) * job.size
    single = all(job.costs.safe[setup] or not ops & (ops - 1) for setup, ops in job.visited)
    return single and 64 * max(dearest, cutoff) < WIDE


def _near(best: Found, budget: Budget) -> bool:
    gap = budget.limits.gap
    return best.order is not None and gap > 0 and close_enough(best.cost, best.bound, gap)


def along(job: Job, order: Sequence[int]) -> list[tuple[int, int]]:
    """A few states (done, set-up) spread over the first half of an order, at the ends of its visits."""
    states = []
    done = 0
    for op, following in pairwise(order):
        done |= 1 << op
        if job.setups[op] != job.setups[following]:
            states.append((done, job.setups[op]))
    states = states[: max(1, len(states) // 2)]
    return states[:: max(1, len(states) // STATES)] or [(0, job.setups[order[0]])]


def greedy(job: Job) -> list[int]:
    """An order without any search: always on to the set-up that is cheapest to reach; for a feasible job."""
    done, ready, setup = 0, job.first, -1
    order: list[int] = []
    while done != job.all:
        step = min(moves(job, done, ready, setup), key=lambda move: (move[3], -move[0].bit_count(), move[2]))
        order += in_sequence(job, done, step[0] & ~done)
        done, ready, setup, _ = step
    return order
