"""Waves that keep the rules: the same answers as every order gives, in whichever direction they go."""

import random
from collections.abc import Iterator
from dataclasses import replace

import pytest

from sequencer.engine import Problem, Status, Stay, solve
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.gaps import Gap, Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import Merged
from sequencer.engine.base.packed import StateBounds
from sequencer.engine.gaps import ordering, widening
from sequencer.engine.gaps.fuse import fused
from sequencer.engine.gaps.moves import GapMoves
from sequencer.engine.gaps.refined import RuledRefinement
from sequencer.engine.gaps.turn import better_turned, firm, with_orders
from sequencer.engine.refine import refine
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import BeamResult
from tests.engine.gaps import agrees, least, random_gaps
from tests.engine.reference import cost_of
from tests.support.profile import before_landing, counts


@pytest.fixture(autouse=True)
def waves_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small jobs would end before any wave."""
    monkeypatch.setattr(ordering, "FEW", 1)


def staying(rng: random.Random, n: int) -> Problem:
    """Rules about not leaving a place, or not beginning something there, while something can be done."""
    problem = random_gaps(rng, n, closed=True)
    setups = range(len(problem.starts))
    place = [rng.randrange(2) for _ in setups]
    needs = tuple(tuple(clause[:1] for clause in clauses if clause) for clauses in problem.needs)
    stays = []
    for op in range(n):
        if rng.random() < 0.5:
            after = tuple(clause[0] for clause in needs[op]) or (rng.randrange(n),)
            here = frozenset(s for s in setups if place[s] == place[problem.setups[op]])
            if rng.random() < 0.5:
                stay = Stay(after, (op,), here, frozenset(setups) - here)
            else:
                stay = Stay(after, (op,), frozenset(setups), frozenset({rng.choice(setups)}))
            turned = rng.random() < 0.4
            stays.append(Stay(stay.until, stay.after, stay.entering, stay.leaving) if turned else stay)
    free = rng.random() < 0.6
    return replace(
        problem,
        needs=needs,
        whiles=problem.whiles[:2] if rng.random() < 0.5 else (),
        stays=tuple(stays) if rng.random() < 0.7 else problem.stays,
        triggers=(),
        savings=(),
        starts=tuple(0 for _ in setups) if free else problem.starts,
    )


def test_the_answer_is_the_least_over_every_order() -> None:
    proven = 0
    for seed in range(counts(quick=50, landing=120, nightly=20_000)):
        proven += agrees(staying(random.Random(seed), 5 + seed % 2))
    assert proven > counts(quick=8, landing=20, nightly=20)


def test_what_need_never_be_apart_is_one_and_costs_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes = []

    def noted(merged: Merged, gaps: Gaps, budget: Budget) -> tuple[Merged, Gaps]:
        fewer = fused(merged, gaps, budget)
        sizes.append((merged.job.size, fewer[0].job.size))
        return fewer

    monkeypatch.setattr(ordering, "fused", noted)
    for seed in range(counts(quick=25, landing=100, nightly=20_000)):
        rng = random.Random(seed)
        problem = staying(rng, 6)
        two = rng.sample(range(len(problem.starts)), min(2, len(problem.starts)))
        agrees(replace(problem, setups=tuple(s if s in two else rng.choice(two) for s in problem.setups)))
    assert any(fewer < before for before, fewer in sizes)


@before_landing
def test_a_narrow_wave_leaves_a_true_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ordering, "WIDTHS", (1, 1))
    monkeypatch.setattr(ordering, "WIDER", ())
    monkeypatch.setattr(widening, "FEW_IDEALS", 1)
    short = 0
    for seed in range(counts(quick=50, landing=120, nightly=20_000)):
        problem = staying(random.Random(seed), 6)
        result = solve(problem)
        best = least(problem)
        if best is None:
            assert not result.order
        else:
            assert result.bound <= best
            short += result.status is not Status.PROVEN
        if result.order:
            assert cost_of(problem, result.order) == result.cost
    assert short


@before_landing
def test_a_table_that_takes_in_what_breaks_a_rule_ends_with_the_proof(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(refine, "SMALL", 1)
    monkeypatch.setattr(refine, "GROW", 1.1)
    monkeypatch.setattr(refine, "longest_chain", lambda job: job.by_ancestors[:1])
    monkeypatch.setattr(ordering, "WIDTHS", (1, 1))
    monkeypatch.setattr(ordering, "WIDER", ())
    bounds = []
    refined = RuledRefinement.run

    def run(self: RuledRefinement, most: int | None = None) -> Iterator[BeamResult]:
        for found in refined(self, most):
            bounds.append(found.bound)
            yield found
        assert self.best.complete

    monkeypatch.setattr(RuledRefinement, "run", run)
    grown = 0
    for seed in range(counts(quick=50, landing=120, nightly=20_000)):
        bounds.clear()
        problem = staying(random.Random(seed), 6)
        result = solve(problem)
        best = least(problem)
        grown += len(bounds) > 1
        assert (result.cost if result.order else None) == best
        assert best is None or result.proven
    assert grown > counts(quick=3, landing=10, nightly=10)


@pytest.fixture
def guided(monkeypatch: pytest.MonkeyPatch) -> list[StateBounds]:
    """The tables that have guided levels; the first runs are narrow."""
    found = []
    also = GapMoves.also

    def noted(self: GapMoves, bound: StateBounds) -> GapMoves:
        found.append(bound)
        return also(self, bound)

    monkeypatch.setattr(GapMoves, "also", noted)
    monkeypatch.setattr(ordering, "WIDTHS", (1, 2))
    monkeypatch.setattr(widening, "STAGES", (1,))
    return found


@before_landing
def test_levels_guided_by_a_table_leave_a_true_bound(
    monkeypatch: pytest.MonkeyPatch, guided: list[StateBounds]
) -> None:
    monkeypatch.setattr(ordering, "WIDER", ())
    monkeypatch.setattr(widening, "FEW_IDEALS", 2)
    for seed in range(counts(quick=50, landing=60, nightly=20_000)):
        problem = staying(random.Random(seed), 6)
        result = solve(problem)
        best = least(problem)
        assert best is None or result.bound <= best, seed
        if result.order:
            assert best is not None
            assert cost_of(problem, result.order) == result.cost >= best, seed
            assert not result.proven or result.cost == best, seed
    assert len(guided) > counts(quick=3, landing=4, nightly=10)


@before_landing
def test_with_time_a_great_table_and_wide_levels_end_with_the_proof(
    monkeypatch: pytest.MonkeyPatch, guided: list[StateBounds]
) -> None:
    monkeypatch.setattr(ordering, "WIDER", (1_000,))
    for name, value in (("FEW_IDEALS", 1), ("GREAT_IDEALS", 2)):
        monkeypatch.setattr(widening, name, value)
    for seed in range(counts(quick=50, landing=60, nightly=20_000)):
        problem = staying(random.Random(seed), 6)
        result = solve(problem)
        best = least(problem)
        assert (result.cost if result.order else None) == best, seed
        assert best is None or result.proven, seed
    assert len(guided) > counts(quick=3, landing=5, nightly=10)


def test_leaving_is_kept_in_the_direction_in_which_one_can_do_what_is_left() -> None:
    job = Job((0, 0, 1), ((), (1,), ()), Costs(((0, 5), (5, 0)), (0, 0)))
    leaving = Gaps(job.setups, (), (Gap(0b001, 0b010, 0b011, 0b01),))
    assert not better_turned(job, leaving)
    turned = Job((0, 0, 1), ((2,), (), ()), job.costs)
    assert better_turned(turned, Gaps(job.setups, (), (Gap(0b010, 0b001, 0b100, 0b10),)))


def test_what_is_done_before_leaving_comes_before_what_can_only_be_done_elsewhere_afterwards() -> None:
    """0 here makes 1 here ready; 2 elsewhere waits for 0, so that one leaves after 0 and 1."""
    job = Job((0, 0, 1), ((), (1,), (1,)), Costs(((0, 5), (5, 0)), (0, 0)))
    assert with_orders(job, Gaps(job.setups, (), (Gap(0b001, 0b010, 0b011, 0b01),))).ancestors[2] == 0b011


def test_what_calls_for_something_elsewhere_is_not_safe() -> None:
    """Once 0 here is done, one may not leave the other place before 1 is done there."""
    job = Job((0, 1, 0), ((), (1,), ()), Costs(((0, 5), (5, 0)), (0, 0)))
    moves = GapMoves(job, Gaps(job.setups, (), (Gap(0b001, 0b010, 0b010, 0b10),)))
    assert not moves.safe & 0b001
    assert moves.safe & 0b110 == 0b110


def test_what_may_not_be_entered_before_something_may_still_be_the_first_step() -> None:
    job = Job((0, 1), ((), ()), Costs(((0, 5), (5, 0)), (0, 0)))
    stay = Gap(0, 0b01, 0b01, 0b11)
    assert with_orders(job, Gaps(job.setups, (), (stay,))).ancestors == (0, 0)


def test_a_stay_that_a_while_may_lift_comes_to_no_order() -> None:
    job = Job((0, 0, 1), ((), (1,), (1,)), Costs(((0, 5), (5, 0)), (0, 0)))
    stay = Gap(0b001, 0b010, 0b011, 0b01)
    assert firm(job, Gaps(job.setups, (Gap(0b001, 0b100, 0b110),), (stay,))) == []
    assert firm(job, Gaps(job.setups, (Gap(0b001, 0b010, 0b010),), (stay,))) == [stay]
