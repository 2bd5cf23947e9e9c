"""Plans of machines that came apart once, held against every order that the format page allows for them."""

import random

import pytest

from sequencer.graph import UnreachableError
from sequencer.plan import Prefer
from sequencer.render.data.plan import refit_json, teardown_json
from tests.plan.jobs import names, teardown, there_and_back
from tests.plan.refit_by_force import least
from tests.support.checker import check_plan
from tests.support.plain_machine import load_machine
from tests.support.profile import counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit
from tests.support.refit_state import Aftermath
from tests.support.taken_apart import learned


def cases(numbers, size, **more):
    """Machines that came apart, the same written out, and targets."""
    for number in numbers:
        text, targets = random_machine(number, size, **more)
        found = learned(text, random.Random(number))
        if found is not None:
            yield number, *found, [("off", what) for _, what in targets]


@pytest.mark.parametrize("size", [2, 3])
def test_no_order_that_is_kept_takes_less(size):
    asked = 0
    for number, told, out, targets in cases(range(counts(quick=12, landing=40, nightly=400)), size):
        best = best_seconds(load_machine(out), targets)
        if best is None:
            with pytest.raises(UnreachableError):
                teardown(told, targets)
            continue
        plan = teardown(told, targets)
        assert check_plan(out, targets, teardown_json(plan)) == [], number
        if plan.proven:
            assert plan.totals.seconds == best, number
            asked += 1
    assert asked >= counts(quick=4, landing=12, nightly=100)


def test_what_is_kept_on_the_way_in_is_kept_reversed_on_the_way_back():
    asked = 0
    for number, told, out, targets in cases(
        range(counts(quick=12, landing=40, nightly=400)), 4, torques=True
    ):
        try:
            way_in, way_back = there_and_back(told, targets)
        except UnreachableError:
            continue
        assert check_refit(out, targets, teardown_json(way_in), refit_json(way_back)) == [], number
        asked += 1
    assert asked >= counts(quick=4, landing=12, nightly=100)


def test_no_way_back_that_keeps_it_takes_less():
    asked = 0
    for number, told, out, targets in cases(
        range(counts(quick=12, landing=40, nightly=300)), 2, torques=True
    ):
        try:
            way_in, way_back = there_and_back(told, targets)
        except UnreachableError:
            continue
        if len(way_back.steps) <= 10:
            after = Aftermath(load_machine(out), tuple(names(way_in)))
            known = {step.operation.name: step.seconds for step in way_back.steps}
            assert (0, way_back.totals.seconds) == least(after, known, Prefer.TIME.value), number
            asked += 1
    assert asked >= counts(quick=4, landing=14, nightly=80)
