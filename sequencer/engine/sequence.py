"""Putting a fixed set of operations in order: merge, look for a good order, prove it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sequencer.engine.beam import Found, beam
from sequencer.engine.bounds import RunBound
from sequencer.engine.job import Job
from sequencer.engine.merge import merge
from sequencer.engine.search import best_first
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.trace import in_sequence, moves

ROUNDS = ((10, 2_000), (100, 20_000), (1000, 200_000), (4000, None))
"""Width of the beam and states of the search for a proof, in turn."""

Report = Callable[[Found], None]


def sequence(
    job: Job,
    cutoff: int,
    budget: Budget,
    warm: Sequence[int] | None = None,
    report: Report | None = None,
) -> Found:
    """The cheapest order of ``job`` that costs less than ``cutoff``.

    Args:
        job: A feasible job.
        cutoff: Orders that cost as much are of no interest.
        budget: The limits of the whole question.
        warm: An order that may be good; one that isn't valid is ignored.
        report: Called whenever the best order or the bound improves.
    """
    merged = merge(job)
    guide = RunBound(merged.job)
    best = Found(None, cutoff, 0)
    if warm is not None and job.valid(warm) and job.cost(warm) < cutoff:
        best = Found(list(warm), job.cost(warm), 0)
    for width, states in ROUNDS:
        for found in _round(merged.job, guide, width, states, best, budget):
            order = best.order if found.order is None else merged.unfold(found.order)
            best = Found(order, found.cost, max(best.bound, found.bound))
            if report is not None:
                report(best)
            if best.complete or budget.over or _near(best, budget):
                return best
    return best


def _round(job: Job, guide: RunBound, width: int, states: int | None, best: Found, budget: Budget):  # noqa: ANN202
    found = beam(job, guide, width, best.cost, budget)
    yield found
    yield best_first(job, guide, found.cost, budget, states)


def _near(best: Found, budget: Budget) -> bool:
    return (
        best.order is not None
        and budget.limits.gap > 0
        and close_enough(best.cost, best.bound, budget.limits.gap)
    )


def greedy(job: Job) -> list[int]:
    """An order without any search: always on to the set-up that is cheapest to reach; for a feasible job."""
    done, ready, setup = 0, job.first, -1
    order: list[int] = []
    while done != job.all:
        step = min(moves(job, done, ready, setup), key=lambda move: (move[3], -move[0].bit_count(), move[2]))
        order += in_sequence(job, done, step[0] & ~done)
        done, ready, setup, _ = step
    return order
