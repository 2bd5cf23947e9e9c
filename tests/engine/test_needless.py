"""What another operation can always stand in for is left out without making any answer dearer."""

from __future__ import annotations

import random

import pytest

import sequencer.engine.choice.choice as choice
from sequencer.engine import Problem, solve
from sequencer.engine.choice.needless import needless
from sequencer.engine.choice.selection import Rules
from tests.engine.jobs import FREE
from tests.engine.strategies import random_problem
from tests.support.profile import before_landing, counts


def test_a_shorter_way_that_always_serves_stands_in_for_a_longer_one() -> None:
    """0 or 1 will do for 2; 1 takes longer, and needs 3 besides."""
    problem = Problem((5, 6, 1, 2), (0, 0, 0, 0), ((0,),), (0,), ((), ((3,),), ((0, 1),), ()), ((2,),))
    assert needless(Rules.of(problem), problem.setups, FREE) == 0b0010


def test_nothing_stands_in_for_what_also_serves_elsewhere() -> None:
    problem = Problem((5, 6, 1, 1), (0,) * 4, ((0,),), (0,), ((), (), ((0, 1),), ((1,),)), ((2,), (3,)))
    assert needless(Rules.of(problem), problem.setups, FREE) == 0


@before_landing
@pytest.mark.parametrize("block", range(counts(quick=2, nightly=10)))
def test_answers_are_the_same_without_it(block: int, monkeypatch: pytest.MonkeyPatch) -> None:
    fired = 0
    for seed in range(60 * block, 60 * block + 60):
        rng = random.Random(seed)
        problem = random_problem(rng, rng.randint(5, 12), closed=True)
        fired += bool(needless(Rules.of(problem), problem.setups, FREE))
        monkeypatch.setattr(choice, "needless", needless)
        short = solve(problem)
        monkeypatch.setattr(choice, "needless", lambda _rules, _setups, _budget: 0)
        long = solve(problem)
        assert (short.status, short.cost, len(short.order)) == (long.status, long.cost, len(long.order))
    assert fired, "the comparison means nothing where nothing is left out"
