"""Refinement: exact for what is kept, never above the whole, and right whatever was dropped on the way."""

import random
from itertools import pairwise

import numpy as np
import pytest

import sequencer.engine.refine.ideals as ideals_module
import sequencer.engine.refine.refine as refine_module
import sequencer.engine.refine.sweep as sweep_module
from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.bitsets import split
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import lean
from sequencer.engine.base.packed import Packed
from sequencer.engine.problem import Limits
from sequencer.engine.refine.ideals import Ideals
from sequencer.engine.refine.lacking import completed, lacking
from sequencer.engine.refine.refine import Refinement, longest_chain, refinable
from sequencer.engine.refine.sweep import Sweep, SweepBound
from sequencer.engine.stop import Budget
from sequencer.engine.waves.wave import waves
from tests.engine.jobs import cost_to_go, random_job
from tests.support.profile import counts

FAR = 10**6


def part_of(job: Job, kept: list[int]) -> Job:
    """The job of some operations alone, in the sequence of their numbers."""
    number = {op: index for index, op in enumerate(kept)}
    clauses = [
        tuple(1 << number[other] for other in members(job.ancestors[op]) if other in number) for op in kept
    ]
    return Job(tuple(job.setups[op] for op in kept), lean(clauses), job.costs.closure)


def every_ideal(job: Job, kept: int) -> set[int]:
    """By trying every subset."""
    ops = list(members(kept))
    subsets = (
        mask_of(op for bit, op in enumerate(ops) if number >> bit & 1) for number in range(1 << len(ops))
    )
    return {
        subset for subset in subsets if all(not job.ancestors[op] & kept & ~subset for op in members(subset))
    }


def rows(ideals: Ideals) -> list[int]:
    """The ideals of a table as sets."""
    table = zip(*(words.tolist() for words in ideals.words), strict=True)
    return [sum(word << 64 * place for place, word in enumerate(row)) for row in table]


@pytest.mark.parametrize("seed", range(counts(quick=4, landing=10, nightly=40)))
def test_a_table_holds_every_ideal_once_in_whatever_sequence_operations_come(seed: int) -> None:
    rng = random.Random(seed)
    job = random_job(rng, 9)
    kept = rng.sample(range(9), 6)
    ideals = Ideals(job)
    ideals.take_in(kept[:3], FAR, FAR)
    expected = len(ideals) * (1 + ideals.growth(kept[3]))
    ideals.take_in(kept[3:4], FAR, FAR)
    assert len(ideals) == pytest.approx(expected)
    ideals.take_in(kept[4:], FAR, FAR)
    found = rows(ideals)
    assert len(found) == len(set(found))
    assert set(found) == every_ideal(job, mask_of(kept))
    assert [row.bit_count() for row in found] == sorted(row.bit_count() for row in found)
    for op in kept:
        before, after = ideals.steps(op)
        assert {found[row] | 1 << op for row in before} == {
            row for row in found if row >> op & 1 and not job.descendants[op] & mask_of(kept) & row
        }
        assert [found[row] | 1 << op for row in before] == [found[row] for row in after]


def test_ideals_with_the_same_key_are_told_apart_by_other_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    job = random_job(random.Random(3), 9)
    draws = []
    real = Ideals._draw

    def wider(self: Ideals) -> None:
        draws.append(1)
        monkeypatch.setattr(ideals_module, "DIGITS", len(draws))
        real(self)

    monkeypatch.setattr(Ideals, "_draw", wider)
    ideals = Ideals(job)
    ideals.take_in(list(range(9)), FAR, FAR)
    assert len(draws) > 2
    assert set(rows(ideals)) == every_ideal(job, job.all)
    assert len(ideals) == len(every_ideal(job, job.all))


@pytest.mark.parametrize("seed", range(counts(quick=5, landing=15, nightly=60)))
def test_a_sweep_is_the_cost_of_what_is_kept_and_a_bound_on_the_whole(seed: int) -> None:
    rng = random.Random(seed)
    job = random_job(rng, 9, closed=seed % 3 > 0)
    kept = sorted(rng.sample(range(9), rng.randint(3, 9)))
    ideals = Ideals(job)
    ideals.take_in(kept, FAR, FAR)
    sweep = Sweep(ideals, FAR)
    assert sweep.run(Budget(Limits()))
    alone = part_of(job, kept)
    assert sweep.least == cost_to_go(alone, 0, -1) <= cost_to_go(job, 0, -1)
    walk = sweep.walk()
    assert sorted(walk) == kept
    assert alone.valid([kept.index(op) for op in walk])
    assert alone.cost([kept.index(op) for op in walk]) == sweep.least
    left = SweepBound(sweep)
    for _ in range(20):
        done, ready = 0, job.first
        for _ in range(rng.randint(1, 8)):
            op = rng.choice(list(members(ready)))
            done, ready = job.step(done, ready, op)
        words = [np.array([word], dtype=np.uint64) for word in split(done, len(ideals.words))]
        bound = int(left.bound(words, np.array([job.setups[op]]))[0])
        assert bound <= cost_to_go(job, done, job.setups[op])


@pytest.mark.parametrize("seed", range(counts(quick=5, landing=15, nightly=60)))
def test_what_is_dropped_is_on_no_order_below_the_limit(seed: int) -> None:
    rng = random.Random(seed)
    job = random_job(rng, 9)
    least = cost_to_go(job, 0, -1)
    for limit in (least, least + 1, least + rng.randint(2, 30)):
        ideals = Ideals(job)
        waiting = rng.sample(range(9), 9)
        ideals.take_in(waiting[:3], FAR, FAR)
        bounds = []
        while True:
            sweep = Sweep(ideals, limit)
            assert sweep.run(Budget(Limits()))
            bounds.append(sweep.least)
            if sweep.least >= limit or len(waiting) <= 3:
                break
            ideals.take_in([waiting.pop()], FAR, FAR)
        assert bounds == sorted(bounds)
        assert max(bounds) <= least
        if not any(job.ors) and limit > least:
            assert bounds[-1] == least


@pytest.mark.parametrize("seed", range(counts(quick=5, landing=15, nightly=60)))
def test_refinement_proves_the_least_where_no_clause_has_a_choice(seed: int) -> None:
    job = random_job(random.Random(seed), 9, ors=seed % 4 == 0, closed=seed % 5 > 0)
    assert refinable(job)
    least = cost_to_go(job, 0, -1)
    found = list(Refinement(job, FAR, Budget(Limits())).run())
    assert [step.bound for step in found] == sorted(step.bound for step in found)
    for step in found:
        assert step.bound <= least <= step.cost
        assert step.order is not None
        assert job.valid(step.order)
        assert job.cost(step.order) == step.cost
    if not any(job.ors) and job.costs.closed:
        assert found[-1].complete
    nothing = list(Refinement(job, least, Budget(Limits())).run())
    assert nothing or not least
    for step in nothing:
        assert step.order is None
        assert step.bound <= least
    if nothing and not any(job.ors) and job.costs.closed:
        assert nothing[-1].complete


@pytest.mark.parametrize("seed", range(counts(quick=5, landing=15, nightly=60)))
def test_an_order_of_some_is_completed_and_told_what_it_lacks(seed: int) -> None:
    rng = random.Random(seed)
    job = random_job(rng, 12)
    chain = longest_chain(job)
    assert all(job.ancestors[b] >> a & 1 for a, b in pairwise(chain))
    order = completed(job, chain)
    assert job.valid(order)
    lack = lacking(job, chain)
    assert not set(lack) & set(chain)
    if not lack and not any(job.ors):
        alone = part_of(job, chain)
        assert job.cost(order) == alone.cost(range(alone.size))
    whole = completed(job, order)
    assert job.valid(whole)
    assert not lacking(job, order)


def test_it_ends_where_memory_ends_and_goes_on_with_more() -> None:
    job = random_job(random.Random(19), 14, ors=False)
    best = list(Refinement(job, FAR, Budget(Limits())).run())[-1]
    refinement = Refinement(job, FAR, Budget(Limits()))
    few = list(refinement.run(most=12))
    assert len(refinement.ideals) <= 12
    assert few[-1].bound < best.cost
    assert not list(refinement.run(most=12))
    assert list(refinement.run())[-1].cost == best.cost


def fan(width: int) -> Job:
    """A chain of ten, and operations that wait for nothing of each other between two of it."""
    setups = tuple(range(10 + width))
    clauses = [(), *((1 << op,) for op in range(9)), *((1 << 4,) for _ in range(width))]
    clauses[5] = (1 << 4, *(1 << 10 + op for op in range(width)))
    size = len(setups)
    rows = tuple(tuple(0 if a == b else 5 + (a * b) % 4 for b in range(size)) for a in range(size))
    return Job(setups, tuple(clauses), Costs(rows, (5,) * size).closure)


def test_memory_holds_where_many_operations_part_the_same_ideals() -> None:
    job = fan(30)
    refinement = Refinement(job, FAR, Budget(Limits()))
    for found in refinement.run(most=500):
        assert len(refinement.ideals) <= 500
        assert job.valid(found.order or [])
    assert refinement.ideals.kept.bit_count() < job.size


@pytest.mark.parametrize("seed", range(counts(quick=6, landing=10, nightly=80)))
@pytest.mark.parametrize("short", [True, False])
def test_waves_bounded_by_sweeps_that_dropped_much_are_exact(
    seed: int, short: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(refine_module, "SMALL", 2)
    monkeypatch.setattr(refine_module, "GROW", 1.2)
    monkeypatch.setattr(refine_module, "WAVES", 0)
    monkeypatch.setattr(refine_module, "FIRST_WAVES", 0)
    if not short:
        monkeypatch.setattr(sweep_module, "SHORT", 0)
    rng = random.Random(seed)
    job = random_job(rng, 10, ors=seed % 4 == 0)
    if not all(job.costs.safe):
        return
    least = cost_to_go(job, 0, -1)
    for cutoff in (FAR if not short else 3_000, least + rng.randint(1, 6)):
        refinement = Refinement(job, cutoff, Budget(Limits()))
        for step in refinement.run():
            assert step.bound <= least
            assert step.order is None or job.cost(step.order) == step.cost >= least
            if refinement.left is not None and not step.complete:
                found = waves(Packed(job, refinement.left), 10**6, step.cost, Budget(Limits()))
                assert found.cost == least
        assert step.complete or any(job.ors)


def with_tools(rng: random.Random, n: int) -> Job:
    """A job at three places with five tools, each of which is taken up and put away."""
    where = [(rng.randrange(3), rng.randrange(5)) for _ in range(7)]
    far = [[0 if a == b else rng.randint(6, 12) for b in range(3)] for a in range(3)]
    take = [0, 3, 5, 8, 8]
    rows = tuple(
        tuple(
            0 if a == b else far[p][q] + (t != u) * (take[t] // 2 + take[u]) for b, (q, u) in enumerate(where)
        )
        for a, (p, t) in enumerate(where)
    )
    plain = random_job(rng, n, ors=rng.random() < 0.3)
    setups = tuple(rng.randrange(len(where)) for _ in range(n))
    starts = tuple(rng.choice((0, 4, 9)) for _ in where)
    return Job(setups, plain.clauses, Costs(rows, starts).closure)


def states_of_the_best(job: Job) -> list[tuple[int, int]]:
    """(done, set-up) along an order that costs the least."""
    done, present, found = 0, -1, []
    while done != job.all:
        costs = job.costs.starts if present < 0 else job.costs.changes[present]
        ready = [op for op in range(job.size) if not done >> op & 1 and job.ready(done, op)]
        step = min(
            ready, key=lambda op: costs[job.setups[op]] + cost_to_go(job, done | 1 << op, job.setups[op])
        )
        done, present = done | 1 << step, job.setups[step]
        found.append((done, present))
    return found


def test_prices_of_what_is_left_out_leave_the_bound_true(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Refinement, "with_prices", True)
    monkeypatch.setattr(refine_module, "SMALL", 2)
    monkeypatch.setattr(refine_module, "GROW", 1.3)
    priced = 0
    for seed in range(counts(quick=12, landing=80, nightly=2_000)):
        rng = random.Random(seed)
        job = with_tools(rng, rng.randint(6, 9))
        path = states_of_the_best(job)
        least = cost_to_go(job, 0, -1)
        refinement = Refinement(job, least + rng.randint(1, 8), Budget(Limits()))
        for step in refinement.run():
            assert step.bound <= least
            if refinement.left is None or step.cost <= least:
                continue  # then no order is of interest
            priced += refinement.least_left_out
            for done, setup in path[:-1]:
                words = [
                    np.array([word], dtype=np.uint64) for word in split(done, len(refinement.ideals.words))
                ]
                bound = int(refinement.left.bound(words, np.array([setup]))[0])
                assert bound <= cost_to_go(job, done, setup)
        assert any(job.ors) or (step.complete and step.cost == least)
    assert priced


def test_a_sweep_cut_short_leaves_no_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refine_module, "SMALL", 2)
    job = random_job(random.Random(5), 14, ors=False)
    refinement = Refinement(job, FAR, Budget(Limits()))
    steps = refinement.run()
    next(steps)
    assert refinement.left is not None
    monkeypatch.setattr(Sweep, "_back", lambda *_: False)
    assert not list(steps)
    assert refinement.left is None
