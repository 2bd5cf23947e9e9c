"""Steps from an order: what each opens, against the second reading of what each asks for."""

import itertools

import pytest

from sequencer.graph import UnreachableError
from tests.plan.jobs import names, teardown
from tests.support.page_example import PAGE
from tests.support.plain_machine import load_machine
from tests.support.plain_rules import orderings, steps_of
from tests.support.profile import counts
from tests.support.random_machines import random_machine


@pytest.mark.parametrize("number", range(counts(quick=5, landing=24, nightly=24)))
def test_a_step_opens_the_later_ones_that_could_not_be_done_before_it(number):
    text, targets = random_machine(number, 4)
    try:
        plan = teardown(text, targets)
    except UnreachableError:
        pytest.skip("this machine does not come apart")
    plain = load_machine(text)
    order = names(plan)
    rules = orderings(plain, order)

    def free(name, done):
        asked = all(clause & done for clause in plain.operations[name].asks)
        return asked and all(earlier in done for earlier, later in rules if later == name)

    for at, step in enumerate(plan.steps):
        before, after = set(order[:at]), set(order[: at + 1])
        opened = {n for n in order[at + 1 :] if free(n, after) and not free(n, before)}
        assert set(step.opens) == opened, step.operation.name


def test_steps_cost_what_the_second_reading_says():
    plan = teardown(PAGE, [("off", "mount")])
    right = steps_of(load_machine(PAGE), names(plan))
    for step, plain in zip(plan.steps, right, strict=True):
        assert (step.seconds, step.change_seconds) == (plain.seconds, plain.change_seconds)
        assert (step.tool_change, step.reach_around) == (plain.tool_change, plain.reach_around)


def test_stations_are_the_runs_at_one_position_with_one_tool():
    plan = teardown(PAGE, [("off", "bracket"), ("off", "pulley")])
    assert [step for station in plan.stations for step in station.steps] == list(plan.steps)
    setups = [(station.position, station.tool) for station in plan.stations]
    assert all(a != b for a, b in itertools.pairwise(setups))
    assert sum(station.seconds for station in plan.stations) == plan.totals.seconds
    assert [station.number for station in plan.stations] == list(range(1, len(setups) + 1))
    assert plan.gap == 0
    assert plan.tools == tuple(dict.fromkeys(op.tool for op in plan.operations if op.tool != "hand"))
    assert plan.fluids == ("oil",)
