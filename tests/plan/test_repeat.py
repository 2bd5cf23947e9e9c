"""What is written once for several is planned as its text written out: operations, costs and proofs."""

import random

import pytest

from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.graph import UnreachableError
from sequencer.machine import read_text
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import teardown_json
from tests.plan.jobs import by_hand_where_nothing_is_said, names, teardown, there_and_back
from tests.plan.practice.chance import add_supports, changed, with_chance
from tests.support.checker import check_plan
from tests.support.plain_machine import load_machine
from tests.support.profile import before_landing, counts
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


@pytest.mark.parametrize("seed", [*range(counts(quick=3, landing=6, nightly=300))])
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


def with_keys_of_good_practice(text, seed):
    """Helpers, jacks, faces and cracks; what is held, when it is torqued, what is run before it is closed."""
    rng = random.Random(f"keys {seed}")

    def change(machine):
        add_supports(rng, machine)
        parts = list(machine["parts"])
        joints = [joint for about in machine["parts"].values() for joint in about["joints"].values()]
        for joint in joints:
            if isinstance(joint.get("torque"), str) and rng.random() < 0.4:
                joint["torque"] = {"value": joint["torque"], "when": [rng.choice(parts)]}
        for part in machine["parts"].values():
            if rng.random() < 0.3:
                part["prepare"] = ["Wipe it"]
        run = {"only": "back", "time": "40 s", "back_before": [rng.choice(parts)]}
        machine.setdefault("tasks", {})["run"] = run

    return changed(with_chance(by_hand_where_nothing_is_said(text), seed), change)


def kept(plan):
    rules = [(rule.name, rule.subject, rule.orders, rule.whiles, rule.stays) for rule in plan.practice.kept]
    return rules, plan.practice.dropped


@before_landing
def test_with_the_keys_of_good_practice_too():
    planned = 0
    for seed in counts(quick=range(3), landing=(*range(5), *range(6, 14)), nightly=range(400)):
        text, plain, targets = random_repeated(seed, 2, with_keys_of_good_practice)
        readings = [read_text(one, "machine.yaml") for one in (text, plain)]
        assert len({reading.machine is None for reading in readings}) == 1, seed
        if readings[0].machine is None:
            continue
        try:
            other = there_and_back(plain, targets, limits=LIMITS, practice=Practice.ALL)
        except SequencerError as why:
            with pytest.raises(type(why)):
                there_and_back(text, targets, limits=LIMITS, practice=Practice.ALL)
            continue
        plans = there_and_back(text, targets, limits=LIMITS, practice=Practice.ALL)
        for plan, as_it_is in zip(plans, other, strict=True):
            assert said(plan) == said(as_it_is), seed
            assert kept(plan) == kept(as_it_is), seed
        planned += 1
    assert planned >= counts(quick=1, landing=3, nightly=3)


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
