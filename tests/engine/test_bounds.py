"""No bound may ever exceed what blind search finds, in any state that the searches come to."""

import random

import numpy as np
import pytest

from sequencer.engine.base.job import Job
from sequencer.engine.base.packed import Packed
from sequencer.engine.base.trace import moves
from sequencer.engine.bounds.bounds import RunBound, beginning
from sequencer.engine.bounds.byte_tables import PackedCuts
from sequencer.engine.bounds.pricing import Pricing, prices_for
from sequencer.engine.sequence import along, greedy
from tests.engine.jobs import FREE, cost_to_go, random_job
from tests.support.profile import before_landing, counts


def states(job: Job) -> list[tuple[int, int]]:
    """Every state that the moves lead to."""
    found: dict[tuple[int, int], None] = {}
    fresh = [(0, job.first, -1)]
    while fresh:
        done, ready, setup = fresh.pop()
        for then, now, target, _ in moves(job, done, ready, setup):
            if (then, target) not in found:
                found[then, target] = None
                fresh.append((then, now, target))
    return list(found)


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=30, nightly=60)))
def test_the_run_bound_never_exceeds_blind_search(seed: int) -> None:
    job = random_job(random.Random(seed), 8, closed=seed % 3 > 0)
    guide = RunBound(job)
    for done, setup in states(job):
        assert guide(done, setup) <= cost_to_go(job, done, setup)
    assert beginning(job, guide) <= cost_to_go(job, 0, -1)


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=12, landing=30, nightly=60)))
def test_priced_cuts_never_exceed_blind_search(seed: int) -> None:
    job = random_job(random.Random(seed), 8, setups=5, closed=seed % 3 > 0)
    cuts = prices_for(job, along(job, greedy(job)), FREE).on(job)
    for done, setup in states(job):
        assert cuts(done, setup) <= cost_to_go(job, done, setup)


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=20)))
def test_prices_hold_for_another_job_with_the_same_changes(seed: int) -> None:
    rng = random.Random(seed)
    job = random_job(rng, 9)
    prices = prices_for(job, along(job, greedy(job)), FREE, range(len(job.costs.starts)))
    setups = tuple(rng.randrange(len(job.costs.starts)) for _ in range(7))
    other = Job(setups, random_job(rng, 7).clauses, job.costs)
    cuts = prices.on(other)
    for done, setup in states(other):
        assert cuts(done, setup) <= cost_to_go(other, done, setup)


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=40)))
def test_words_say_the_same_as_single_states(seed: int) -> None:
    job = random_job(random.Random(seed), 10, setups=5)
    cuts = prices_for(job, along(job, greedy(job)), FREE).on(job)
    packed = Packed(job, PackedCuts(cuts))
    found = sorted(states(job), key=lambda state: state[1])
    done = [np.array([d for d, _ in found], dtype=np.uint64)]
    present = np.array([s for _, s in found], dtype=np.int16)
    assert packed.bound(done, present).tolist() == [cuts(d, s) for d, s in found]
    for target in packed.targets:
        after = packed.exhaust(done, target)[0].tolist()
        ready = [sum(1 << op for op in range(10) if not d >> op & 1 and job.ready(d, op)) for d, _ in found]
        singles = [job.exhaust(d, r, target)[0] for (d, _), r in zip(found, ready, strict=True)]
        assert after == singles


@pytest.mark.parametrize("seed", range(10))
def test_potentials_stay_in_bounds_where_rounding_makes_it_worth_while_to_raise_all(seed: int) -> None:
    job = random_job(random.Random(seed), 20, setups=8)
    pricing = Pricing(job, [(0, job.setups[0])], FREE, sorted(set(job.setups)))
    pricing.run(3)
    program, setups = pricing.program, len(pricing.used)
    values = np.zeros(program.columns)
    values[:setups] = 1e-6
    program.table += 2e-8
    basic, free = ([values[v] if v >= 0 else 0.0 for v in names] for names in (program.basis, program.free))
    program.gain = np.array(free) - np.array(basic) @ program.table
    program.solve(100)
    assert program.solution()[: setups + 1].max() <= 2.1 * pricing.cost.max()
