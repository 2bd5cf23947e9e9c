"""Whiles and stays: the order of a fixed set under rules about neighbouring steps."""

import random
from dataclasses import replace

import pytest

from sequencer.engine import Limits, Problem, ProblemError, Status, Stay, While, ask, solve
from tests.engine.gaps import agrees, least, random_gaps, turned_round
from tests.engine.reference import cost_of
from tests.support.profile import before_landing, counts

THREE = Problem(
    durations=(1, 1, 1),
    setups=(0, 1, 0),
    changes=((0, 5), (5, 0)),
    starts=(0, 0),
    needs=((), (), ()),
    goals=((0,), (1,), (2,)),
)
"""Two operations of one set-up, and one of another: 8 is the least."""


@before_landing
def test_the_answer_is_the_least_over_every_order() -> None:
    for seed in range(counts(quick=100, landing=125, nightly=20_000)):
        agrees(random_gaps(random.Random(seed), 5 + seed % 2))


def test_a_while_keeps_others_out() -> None:
    assert solve(THREE).cost == 8
    between = replace(THREE, whiles=(While((0,), (1,), frozenset()),), orders=((0, 1), (2, 1)))
    assert solve(between).order == (2, 0, 1)
    last = replace(THREE, whiles=(While((0,), (), frozenset({2})),))
    assert solve(last).order in {(1, 0, 2), (1, 2, 0)}


def test_a_stay_forbids_to_leave_but_where_a_while_sends() -> None:
    stay = Stay((0,), (2,), frozenset({0}), frozenset({1}))
    there = replace(THREE, orders=((0, 2),), needs=((), ((0,),), ()), stays=(stay,))
    assert solve(there).order == (0, 2, 1)
    sent = replace(there, whiles=(While((0,), (1,), frozenset()),))
    assert solve(sent).order == (0, 1, 2)
    assert solve(replace(there, orders=((0, 1), (1, 2)))).status is Status.IMPOSSIBLE


def test_read_backwards_the_least_is_the_same() -> None:
    told = 0
    for seed in range(counts(quick=60, nightly=4_000)):
        problem = random_gaps(random.Random(seed), 5, closed=True)
        needs = tuple(tuple(c[:1] for c in clauses if c) for clauses in problem.needs)
        problem = replace(problem, needs=needs, done=frozenset(), triggers=(), savings=())
        ahead, back = solve(problem), solve(turned_round(problem))
        assert (ahead.status, ahead.cost) == (back.status, back.cost)
        told += ahead.proven
    assert told > 5


@before_landing
def test_what_was_answered_before_is_no_bound_where_a_while_more_lifts_a_stay() -> None:
    for seed in range(counts(quick=60, nightly=3_000)):
        problem = random_gaps(random.Random(seed), 5, closed=True)
        first = ask(replace(problem, whiles=problem.whiles[1:]))
        again = first.again(problem).again(replace(problem, stays=problem.stays[1:]))
        for one in (again, again.again(problem), again.again(replace(problem, whiles=(), stays=()))):
            assert (one.result.status, one.result.cost) == (
                solve(one.problem).status,
                solve(one.problem).cost,
            )


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"whiles": (While((0, 3), (), frozenset()),)}, "operations are 0 to 2"),
        ({"whiles": (While((0,), (), frozenset({-1})),)}, "operations are 0 to 2"),
        ({"stays": (Stay((0,), (7,), frozenset(), frozenset()),)}, "operations are 0 to 2"),
        ({"stays": (Stay((0,), (1,), frozenset({0}), frozenset({2})),)}, "set-ups are 0 to 1"),
        ({"whiles": (While((0,), (1,), frozenset()),), "goals": ((0,), (1, 2))}, "1 is neither"),
    ],
)
def test_rules_that_do_not_fit_are_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(ProblemError, match=message):
        solve(replace(THREE, **change))


@before_landing
def test_a_limit_leaves_a_true_bound() -> None:
    for seed in range(40):
        problem = random_gaps(random.Random(seed), 6)
        best = least(problem)
        for states in (0, 3, 12):
            result = solve(problem, Limits(states=states))
            if result.status is Status.IMPOSSIBLE:
                assert best is None
            elif result.order:
                assert best is not None
                assert cost_of(problem, result.order) == result.cost >= best >= result.bound
            else:
                assert best is None or result.bound <= best
