"""What is written once for several is planned as its text written out: operations, costs and proofs."""

import pytest

from sequencer.engine.problem import Limits
from sequencer.graph import UnreachableError
from sequencer.render.data.plan import teardown_json
from tests.plan.jobs import names, teardown, there_and_back
from tests.support.checker import check_plan
from tests.support.plain_machine import load_machine
from tests.support.profile import counts
from tests.support.random_repeats import random_repeated
from tests.support.reference import best_seconds

ENGINE = """
machine: Engine with two banks, invented
repeat:
  side: {left: {stand: left-wing}, right: {stand: right-wing}}
  row: ["1", "2"]
positions: {front: , left-wing: , right-wing: , under: {enter: 40 s, leave: 30 s}}
walks: [[front, <side.stand>, 10 s]]
fluids: {oil: {drain: {from: under, time: 6 min}}}
tasks: {tag-<side>: {from: <side.stand>, time: 30 s, before: [cover-<side>], undo: {time: 10 s}}}
parts:
  cover-<side>:
    from: <side.stand>
    joints: {bolts: {kind: bolt, head: 8, count: 8, each: 10 s, torque: 9 N.m}}
  coil-<side>-<row>:
    from: <side.stand>
    behind: [cover-<side>]
    joints: {plug: {kind: connector, time: 8 s}}
  head-<side>:
    from: <side.stand>
    wet: [oil]
    behind: [coil-<side>-<row>]
    joints: {bolts: {kind: bolt, head: 15, count: 8, each: 20 s, torque: [30 N.m, 60 N.m]}}
  gearbox:
    from: under
    behind: [{any: [head-<side>]}, cover-<side>]
    joints: {bolts: {kind: bolt, head: 17, count: 7, each: 25 s}}
"""


def test_one_head_of_two_is_enough_and_both_covers_come_off():
    targets = [("off", "gearbox")]
    plan = teardown(ENGINE, targets)
    assert plan.proven
    assert check_plan(load_machine(ENGINE), targets, teardown_json(plan)) == []
    off = [name.removeprefix("remove ") for name in names(plan) if name.startswith("remove")]
    side = "left" if "head-left" in off else "right"
    coils = {f"coil-{side}-{row}" for row in "12"}
    assert {*off} == {"cover-left", "cover-right", *coils, f"head-{side}", "gearbox"}
    assert {"task tag-left", "task tag-right", "drain oil"} < {*names(plan)}


def said(plan):
    steps = [
        (step.operation.name, step.operation.position, step.operation.tool, step.seconds, step.change_seconds)
        for step in plan.steps
    ]
    return steps, plan.totals, plan.bound_seconds, plan.proven


LIMITS = Limits(states=5_000)
"""The same for both: they then stop at the same order, and say the same of its proof."""


@pytest.mark.parametrize("seed", [*range(counts(quick=6, nightly=300))])
def test_random_machines_are_planned_as_they_are_written_out(seed):
    text, plain, targets = random_repeated(seed, 2)
    try:
        other = there_and_back(plain, targets, limits=LIMITS)
    except UnreachableError:
        with pytest.raises(UnreachableError):
            teardown(text, targets)
        return
    plans = there_and_back(text, targets, limits=LIMITS)
    for plan, as_it_is in zip(plans, other, strict=True):
        assert said(plan) == said(as_it_is)
    assert check_plan(load_machine(text), targets, teardown_json(plans[0])) == []
    if len(load_machine(text).operations) < 12 and plans[0].proven:
        assert plans[0].totals.seconds == best_seconds(load_machine(text), targets)


def test_a_circle_is_told_by_the_names_and_the_lines_of_the_text():
    text = """\
machine: M
repeat: {side: [left, right]}
parts:
  lid-<side>: {behind: [box], joints: {a: {kind: clip}}}
  box: {behind: [lid-<side>], joints: {a: {kind: clip}}}
"""
    with pytest.raises(UnreachableError) as caught:
        teardown(text, [("off", "box")])
    assert {str(wait.reason.place) for wait in caught.value.circle} == {"machine.yaml:4", "machine.yaml:5"}
