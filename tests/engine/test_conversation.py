"""Questions asked one after another have the answers that each would have by itself."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

import sequencer.engine.choice.choice as choice
from sequencer.engine import (
    Conversation,
    Limits,
    Problem,
    ProblemError,
    Status,
    ask,
    solve,
)
from tests.engine.reference import cost_of
from tests.engine.strategies import random_problem
from tests.engine.variants import with_done, with_goal, with_need, without_goal, without_need
from tests.support.profile import before_landing, counts


def varied(rng: random.Random, asked: Conversation) -> Problem:
    """The problem of ``asked`` with one thing changed, or with the same thing asked in other words."""
    problem, order = asked.problem, asked.result.order
    ops = range(len(problem.durations))
    match rng.randrange(8):
        case 0 if problem.goals:
            return without_goal(problem, rng.choice(problem.goals))
        case 1:
            op = rng.choice(ops)
            if problem.needs[op]:
                return without_need(problem, op, rng.choice(problem.needs[op]))
        case 2:
            op = rng.choice(ops)
            return with_need(problem, op, tuple(rng.sample(ops, rng.choice((1, 1, 2)))))
        case 3 if order:
            begun = order[: rng.randint(1, len(order))]
            return with_done(problem, begun, problem.setups[begun[-1]])
        case 4:
            return with_done(problem, rng.sample(ops, 1), rng.randrange(len(problem.starts)))
        case 5:
            a, b = sorted(rng.sample(ops, 2))
            return replace(problem, orders=(*problem.orders, (a, b)))
        case 6 if problem.savings:
            return replace(problem, savings=problem.savings[1:])
    return with_goal(problem, tuple(rng.sample(ops, rng.choice((1, 1, 2)))))


@before_landing
@pytest.mark.parametrize("block", range(counts(quick=1, landing=2, nightly=50)))
def test_every_answer_in_a_conversation_is_as_good_as_a_fresh_one(block: int) -> None:
    for seed in range(60 * block, 60 * block + counts(quick=20, landing=30, nightly=60)):
        rng = random.Random(seed)
        first = random_problem(rng, rng.randint(4, 10))
        talk = [ask(first)]
        for _ in range(6):
            asked = rng.choice(talk)
            problem = varied(rng, asked)
            answer = asked.again(problem)
            fresh = solve(problem)
            assert answer.result.status is fresh.status
            assert answer.result.cost == answer.result.bound == fresh.cost
            if fresh.status is Status.PROVEN:
                assert cost_of(problem, answer.result.order) == fresh.cost
            talk.append(answer)


@pytest.mark.parametrize("seed", range(counts(quick=1, landing=2, nightly=20)))
def test_conversations_under_work_limits_have_honest_bounds(seed: int) -> None:
    from tests.benchmarks.generator import generate

    rng = random.Random(seed)
    talk = [ask(generate(40, seed, 6), Limits(states=50))]
    for _ in range(6):
        problem = varied(rng, talk[-1])
        answer = rng.choice(talk).again(problem, Limits(states=rng.choice((5, 50, 400))))
        fresh = solve(problem)
        assert (answer.result.status is Status.IMPOSSIBLE) == (fresh.status is Status.IMPOSSIBLE)
        assert answer.result.bound <= fresh.cost <= answer.result.cost
        talk.append(answer)


@before_landing
def test_the_same_conversation_goes_the_same_way() -> None:
    from tests.benchmarks.generator import generate

    def told() -> list[object]:
        rng = random.Random(1)
        talk = [ask(generate(40, 3, 6))]
        talk += [talk[0].again(varied(rng, talk[0])) for _ in range(5)]
        return [asked.result for asked in talk]

    assert told() == told()


def test_the_same_problem_is_looked_up() -> None:
    asked = ask(random_problem(random.Random(7), 12, closed=True))
    again = asked.again(replace(asked.problem)).result
    assert (again.cost, again.order) == (asked.result.cost, asked.result.order)
    assert again.counters.states == 0


def test_more_of_an_impossible_problem_is_impossible_at_once() -> None:
    problem = Problem((1, 1), (0, 0), ((0,),), (0,), (((),), ()), ((0,),))
    asked = ask(problem)
    assert asked.result.status is Status.IMPOSSIBLE
    assert asked.again(with_goal(problem, (1,))).result.status is Status.IMPOSSIBLE


def test_a_goal_or_need_that_is_not_there_can_not_be_left_out() -> None:
    problem = Problem((1, 1), (0, 0), ((0,),), (0,), ((), ((0,),)), ((1,),))
    with pytest.raises(ProblemError, match=r"goals has no clause \(0,\)"):
        without_goal(problem, (0,))
    with pytest.raises(ProblemError, match=r"needs\[1\] has no clause \(1,\)"):
        without_need(problem, 1, (1,))
    with pytest.raises(ProblemError, match="there is no operation 2"):
        with_need(problem, 2, (0,))
    with pytest.raises(ProblemError, match="set-ups are 0 to 0"):
        with_done(problem, (0,), 1)


@before_landing
def test_what_was_not_found_yet_is_found_when_there_is_time() -> None:
    # order rules and a cheap dead end: the first choice that comes to mind has no order
    for seed in (23, 81, 193, 256, 293, 311, 503, *range(counts(quick=20, landing=50, nightly=100))):
        rng = random.Random(seed)
        problem = random_problem(rng, rng.randint(4, 10))
        fresh = solve(problem)
        for limits in (Limits(states=1), Limits(seconds=0.0)):
            first = ask(problem, limits)
            if fresh.status is not Status.IMPOSSIBLE:
                assert first.result.status is not Status.IMPOSSIBLE
                assert first.result.bound <= fresh.cost
            again = first.again(problem, Limits()).result
            assert (again.status, again.cost) == (fresh.status, fresh.cost)


def test_not_found_yet_is_a_status_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choice, "GRACE", 0)
    rng = random.Random(81)
    problem = random_problem(rng, rng.randint(4, 10))
    unknown = ask(problem, Limits(states=1))
    assert unknown.result.status is Status.UNKNOWN
    assert unknown.result.order == ()
    assert unknown.result.bound <= solve(problem).cost
    more = unknown.again(with_goal(problem, problem.goals[0])).result
    assert more.status is Status.PROVEN
