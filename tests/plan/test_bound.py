"""The order apart from how good it is: what nobody looked into is not made up."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from sequencer.document.plans.plan import teardown_document
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import load
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Bound, Totals
from sequencer.plan.teardown import plan_teardown
from sequencer.render.data.plans.plan import teardown_json


@pytest.fixture(scope="module")
def plan():
    pump = load(Path("examples/bench-pump.yaml"))
    return plan_teardown(pump, parse_targets(pump, ["guard"]))


def test_a_plan_that_was_looked_for_says_how_good_it_is(plan):
    assert plan.bound == Bound(plan.totals.seconds, 0, reached=True)
    assert plan.top_to_bottom.seconds >= plan.bound_seconds


def test_an_order_that_was_only_taken_over_says_nothing(plan):
    names = [one.name for one in plan.operations]
    same = teardown_of(plan.graph, plan.targets, names, Changes.of(plan.machine))
    assert (same.steps, same.totals) == (plan.steps, plan.totals)
    assert (same.bound, same.top_to_bottom) == (None, None)
    assert (same.proven, same.bound_seconds) == (False, 0)
    assert "top_to_bottom" not in teardown_json(same)
    assert not any("top to bottom" in str(block) for block in teardown_document(same))


def test_nothing_left_to_do_can_not_be_done_better(plan):
    assert replace(plan, steps=(), bound=None).proven


def test_totals_are_those_of_the_steps_and_never_others(plan):
    fewer = replace(plan, steps=plan.steps[:1])
    assert fewer.totals == Totals.of(plan.steps[:1])
    assert plan.totals.seconds > fewer.totals.seconds > Fraction(0)
