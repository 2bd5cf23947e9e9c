"""Each way of searching on its own: nothing below the best, and never an order that breaks a need."""

import random

import pytest

from sequencer.engine.base.packed import Packed
from sequencer.engine.bounds.bounds import RunBound
from sequencer.engine.bounds.byte_tables import PackedCuts
from sequencer.engine.bounds.pricing import prices_for
from sequencer.engine.choice.repair import inserted
from sequencer.engine.problem import Limits
from sequencer.engine.sequence import along, greedy
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import beam
from sequencer.engine.waves.local import SegmentExchange
from sequencer.engine.waves.search import best_first
from sequencer.engine.waves.wave import waves
from tests.engine.jobs import FREE, cost_to_go, random_job
from tests.support.profile import before_landing, counts

FAR = 10**6


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=12, landing=30, nightly=60)))
def test_every_search_finds_the_least_or_bounds_it(seed: int) -> None:
    job = random_job(random.Random(seed), 9, closed=seed % 4 > 0)
    least = cost_to_go(job, 0, -1)
    budget = Budget(Limits())
    narrow = beam(job, RunBound(job), 2, FAR, budget)
    assert narrow.bound <= least <= narrow.cost
    exact = best_first(job, RunBound(job), FAR, budget)
    assert exact.cost == least == job.cost(exact.order or [])
    if all(job.costs.safe):
        packed = Packed(job, PackedCuts(prices_for(job, along(job, greedy(job)), FREE).on(job)))
        one = waves(packed, 1, FAR, budget)
        assert one.bound <= least <= one.cost
        wide = waves(packed, 10**6, FAR, budget)
        assert wide.cost == least == wide.bound
        assert job.valid(wide.order or [])


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=12, landing=15, nightly=30)))
def test_the_local_search_keeps_every_need_and_never_loses(seed: int) -> None:
    job = random_job(random.Random(seed), 16, ors=False)
    order = greedy(job)
    assert job.valid(order)
    budget = Budget(Limits())
    exchanged, cost = SegmentExchange(job).search(order, 5, budget)
    assert job.valid(exchanged)
    assert job.cost(exchanged) == cost <= job.cost(order)


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=30, nightly=60)))
def test_what_is_new_goes_into_a_kept_sequence(seed: int) -> None:
    rng = random.Random(seed)
    job = random_job(rng, 10)
    whole = greedy(job)
    kept = [op for op in whole if rng.random() < 0.6]
    order = inserted(job, job.costs, kept)
    assert job.valid(order)
