import random
import time
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sequencer.engine.sequence as sequencing
from sequencer.engine import Limits, Problem, ProblemError, Status, Trigger, solve
from tests.engine.plain_model import least_cost
from tests.engine.reference import blind, cost_of
from tests.engine.strategies import problems, random_problem
from tests.support.profile import before_landing, counts

CHAIN = Problem(
    durations=(3, 4, 5),
    setups=(0, 1, 0),
    changes=((0, 2), (2, 0)),
    starts=(1, 1),
    needs=((), (), ((0, 1),)),
    goals=((2,),),
)


def agrees(problem: Problem) -> None:
    result = solve(problem)
    best = blind(problem)
    if best is None:
        assert result.status is Status.IMPOSSIBLE
    else:
        assert result.status is Status.PROVEN
        assert (result.cost, len(result.order)) == best
        assert cost_of(problem, result.order) == result.cost == result.bound


@settings(max_examples=counts(quick=25, landing=40, nightly=5000))
@given(problems(most=6))
def test_the_answer_is_the_least_over_every_order_of_every_choice(problem: Problem) -> None:
    agrees(problem)


@pytest.fixture
def _only_waves(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sequencing, "FIRST_WIDTH", 1)
    monkeypatch.setattr(sequencing, "FIRST_STATES", 1)
    monkeypatch.setattr(sequencing, "FEW", 1)


@pytest.mark.usefixtures("_only_waves")
def test_the_waves_give_the_least_too() -> None:
    for seed in range(counts(quick=20, landing=30, nightly=2000)):
        agrees(random_problem(random.Random(seed), 6, closed=True))


@settings(max_examples=counts(quick=10, nightly=300))
@given(st.integers(0, 10_000), st.booleans())
def test_a_plain_model_for_a_general_solver_finds_the_same_cost(seed: int, closed: bool) -> None:
    problem = random_problem(random.Random(seed), 9, closed=closed)
    result = solve(problem)
    least = least_cost(problem)
    assert (None if result.status is Status.IMPOSSIBLE else result.cost) == least


def test_of_equal_costs_fewer_operations_win() -> None:
    problem = Problem((0, 0), (0, 0), ((0,),), (0,), ((), ()), ((0,),))
    assert solve(problem).order == (0,)


def test_a_triggered_operation_is_done_only_when_it_is_called_for() -> None:
    problem = Problem(
        (1, 1, 5), (0, 0, 0), ((0,),), (0,), ((), (), ()), ((0,),), triggers=(Trigger((0,), (1,), 2),)
    )
    assert solve(problem).order == (0,)


@pytest.mark.parametrize("seed", range(counts(quick=15, landing=20, nightly=2000)))
def test_what_several_choices_call_for_together_is_as_by_trying_everything(seed: int) -> None:
    rng = random.Random(f"also {seed}")
    problem = random_problem(rng, 6, 2)
    sides = tuple(tuple(rng.sample(range(6), rng.choice((1, 2)))) for _ in range(4))
    more = Trigger(sides[0], sides[1], rng.randrange(6), sides[2 : rng.choice((3, 4))])
    agrees(replace(problem, triggers=(*problem.triggers, more)))


def test_the_same_question_has_the_same_answer() -> None:
    problem = random_problem(random.Random(7), 12, closed=True)
    assert solve(problem) == solve(problem)


@before_landing
def test_work_limits_give_repeatable_answers_with_an_honest_bound() -> None:
    from tests.benchmarks.generator import generate

    problem = generate(60, 9)
    limits = Limits(states=counts(quick=1_000, landing=3_000, nightly=3_000))
    cut = solve(problem, limits)
    assert cut == solve(problem, limits)
    assert cut.status is Status.BEST_KNOWN
    assert cut.bound <= 2877 <= cut.cost
    assert cost_of(problem, cut.order) == cut.cost


def test_a_gap_ends_the_search_early() -> None:
    from tests.benchmarks.generator import generate

    result = solve(generate(60, 9), Limits(gap=0.05))
    assert result.cost - result.bound <= 0.05 * result.cost


def test_an_interruption_keeps_the_best_and_its_bound() -> None:
    from tests.benchmarks.generator import generate

    def interrupt(cost: int, bound: int) -> None:
        if bound:
            raise KeyboardInterrupt

    result = solve(generate(60, 9), progress=interrupt)
    assert result.status is Status.BEST_KNOWN
    assert 0 < result.bound <= 2877 <= result.cost


@before_landing
def test_progress_only_ever_improves() -> None:
    from tests.benchmarks.generator import generate

    seen: list[tuple[int, int]] = []
    solve(generate(60, 4), progress=lambda cost, bound: seen.append((cost, bound)))
    assert seen == sorted(seen, key=lambda now: (-now[0], now[1]))
    assert seen[-1][0] == seen[-1][1]


def test_a_good_start_is_kept_and_a_bad_one_ignored() -> None:
    best = solve(CHAIN)
    assert solve(CHAIN, warm=best.order).order == best.order
    assert solve(CHAIN, warm=(2, 0)).cost == best.cost


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"durations": (3, -4, 5)}, r"durations\[1\] is -4"),
        ({"setups": (0, 1)}, "setups has 2 entries instead of 3"),
        ({"setups": (0, 2, 0)}, r"setups\[1\] is 2; set-ups are 0 to 1"),
        ({"changes": ((0, 2), (2, 1))}, r"changes\[1\]\[1\] is 1 instead of 0"),
        ({"goals": ((3,),)}, "operations are 0 to 2"),
        ({"orders": ((0, 9),)}, "operations are 0 to 2"),
    ],
)
def test_numbers_that_do_not_fit_are_named(change: dict[str, object], message: str) -> None:
    from dataclasses import replace

    with pytest.raises(ProblemError, match=message):
        solve(replace(CHAIN, **change))


def test_importing_the_engine_loads_no_heavy_library() -> None:
    import subprocess
    import sys

    heavy = ("numpy", "ortools", "networkx")
    code = f"import sys, sequencer.engine; print([m for m in {heavy} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_huge_costs_stay_exact() -> None:
    from dataclasses import replace

    problem = random_problem(random.Random(3), 8, closed=True)
    factor = 10**30 + 1
    huge = replace(
        problem,
        durations=tuple(d * factor for d in problem.durations),
        changes=tuple(tuple(c * factor for c in row) for row in problem.changes),
        starts=tuple(c * factor for c in problem.starts),
        savings=(),
    )
    assert solve(huge).cost == solve(replace(problem, savings=())).cost * factor


@before_landing
def test_a_bound_is_never_below_what_the_operations_take() -> None:
    from tests.benchmarks.generator import generate

    problem = generate(1000, 1)
    result = solve(problem, Limits(seconds=0.0))
    assert result.bound >= sum(problem.durations)


CUT = ((700, 60), (700, 0), (100, 20))


@before_landing
@pytest.mark.parametrize(("size", "alternatives"), counts(quick=CUT[:1], landing=CUT, nightly=CUT))
def test_a_limit_of_time_is_kept(size: int, alternatives: int, monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.benchmarks.generator import generate

    # the processor's seconds: the same whatever else the machine has to do
    monkeypatch.setattr(time, "monotonic", time.process_time)
    problem = generate(size, 1, alternatives)
    began = time.process_time()
    solve(problem, Limits(seconds=0.0))
    least = time.process_time() - began  # reading the question
    began = time.process_time()
    solve(problem, Limits(seconds=0.3))
    slow = 1  # on a slow machine each look at the clock comes later
    assert time.process_time() - began < 0.3 + 3 * least + slow
