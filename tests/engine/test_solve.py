from hypothesis import given, settings

from sequencer.engine import Problem, Status, solve
from tests.engine.reference import blind, cost_of
from tests.engine.strategies import problems


@settings(max_examples=300, deadline=None)
@given(problems(most=6))
def test_the_answer_is_the_least_over_every_order_of_every_choice(problem: Problem) -> None:
    result = solve(problem)
    best = blind(problem)
    if best is None:
        assert result.status is Status.IMPOSSIBLE
    else:
        assert result.status is Status.PROVEN
        assert (result.cost, len(result.order)) == best
        assert cost_of(problem, result.order) == result.cost == result.bound
