"""Each way of searching on its own: nothing below the best, and never an order that breaks a need."""

import random

import pytest

from sequencer.engine.beam import beam
from sequencer.engine.bounds import RunBound
from sequencer.engine.pricing import prices_for
from sequencer.engine.local import SegmentExchange
from sequencer.engine.packed import Packed
from sequencer.engine.problem import Limits
from sequencer.engine.search import best_first
from sequencer.engine.sequence import along, greedy
from sequencer.engine.stop import Budget
from sequencer.engine.wave import waves
from sequencer.engine.window import Windows
from tests.engine.jobs import cost_to_go, random_job

FAR = 10**6


@pytest.mark.parametrize("seed", range(60))
def test_every_search_finds_the_least_or_bounds_it(seed: int) -> None:
    job = random_job(random.Random(seed), 9, closed=seed % 4 > 0)
    least = cost_to_go(job, 0, -1)
    budget = Budget(Limits())
    narrow = beam(job, RunBound(job), 2, FAR, budget)
    assert narrow.bound <= least <= narrow.cost
    exact = best_first(job, RunBound(job), FAR, budget)
    assert exact.cost == least == job.cost(exact.order or [])
    if all(job.costs.safe):
        packed = Packed(job, prices_for(job, along(job, greedy(job))).on(job))
        one = waves(packed, 1, FAR, budget)
        assert one.bound <= least <= one.cost
        wide = waves(packed, 10**6, FAR, budget)
        assert wide.cost == least == wide.bound
        assert job.valid(wide.order or [])


@pytest.mark.parametrize("seed", range(30))
def test_local_searches_keep_every_need_and_never_lose(seed: int) -> None:
    job = random_job(random.Random(seed), 16, ors=False)
    order = greedy(job)
    assert job.valid(order)
    budget = Budget(Limits())
    exchanged, cost = SegmentExchange(job).search(order, 5, budget)
    assert job.valid(exchanged)
    assert job.cost(exchanged) == cost <= job.cost(order)
    windows = Windows(job, prices_for(job, along(job, order)))
    again = windows.search(order, 5, 50, budget)
    assert job.valid(again)
    assert job.cost(again) <= job.cost(order)
