"""The way back, replayed by the independent checker and held against trying every order."""

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sequencer.engine.problem import Limits
from sequencer.graph import UnreachableError
from sequencer.plan import Prefer, plan_refit, plan_teardown
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import (
    by_hand_where_nothing_is_said,
    machine_of,
    names,
    own_targets,
    there_and_back,
)
from tests.plan.refit_by_force import least
from tests.support.page_example import PAGE
from tests.support.plain_machine import load_machine
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.refit_checker import check_refit
from tests.support.refit_state import Aftermath
from tests.support.some import some

ROOT = Path(__file__).parents[2]
BOTH = [("off", "bracket"), ("off", "pulley")]
HEAD = ("models/delivery-van.yaml", "head", None)
BELT = ("models/delivery-van.yaml", "timing-belt", None)


def faults(text, targets, way_in, way_back):
    return check_refit(text, targets, teardown_json(way_in), refit_json(way_back))


@settings(max_examples=counts(quick=8, landing=10, nightly=500))
@given(number=st.integers(0, 10**6), size=st.integers(2, 5), prefer=st.sampled_from(Prefer))
def test_every_random_machine_goes_back_together(number, size, prefer):
    text, targets = random_machine(number, size, torques=True)
    try:
        way_in, way_back = there_and_back(text, targets, prefer)
    except UnreachableError:
        return
    assert faults(text, targets, way_in, way_back) == []
    assert way_back.proven


BLOCK = counts(quick=7, landing=20, nightly=20)


@before_landing
@pytest.mark.parametrize("first", range(0, counts(quick=7, landing=10, nightly=100), BLOCK))
def test_no_order_puts_a_small_machine_back_for_less(first):
    asked = 0
    for number in range(first, first + BLOCK):
        text, targets = random_machine(number, 2 + number % 3, torques=True)
        for prefer in Prefer:
            try:
                way_in, way_back = there_and_back(text, targets, prefer)
            except UnreachableError:
                break
            if len(way_back.steps) > 10:
                break
            after = Aftermath(load_machine(text), tuple(names(way_in)))
            told = {step.operation.name: step.seconds for step in way_back.steps}
            got = (way_back.totals.count(prefer), way_back.totals.seconds)
            assert (got, way_back.proven) == (least(after, told, prefer.value), True), (number, prefer)
            asked += 1
    assert asked >= BLOCK


def test_the_sample_goes_back_together_with_its_gates():
    way_in, way_back = there_and_back(PAGE, BOTH)
    assert faults(PAGE, BOTH, way_in, way_back) == []
    steps = names(way_back)
    assert [gate.joint for gate in way_back.gates] == ["pulley/bolts", "motor/feet"]
    belt, feet = way_back.gates
    assert belt.waits_for == ("belt",)
    assert steps.index("fasten belt/tension") < steps.index("torque pulley/bolts")
    assert steps[belt.last_step - 1] == "fit guard"
    assert way_back.closing_off(belt.last_step) == (belt,)
    assert feet.last_step is None
    assert steps[-1] == "restore isolate"
    # 10 s a fastener and stage: four pulley bolts, two motor feet.
    assert [way_back.steps[gate.step - 1].seconds for gate in way_back.gates] == [40, 20]


def test_a_gate_says_from_which_step_on_it_can_be_closed():
    way_in, way_back = there_and_back(PAGE, BOTH)
    after = Aftermath(load_machine(PAGE), tuple(names(way_in)))
    steps = names(way_back)
    for gate in some(way_back.gates):
        waits = after.earlier[f"torque {gate.joint}"]
        last = max(number for number, name in enumerate(steps, 1) if name in waits)
        assert gate.first_step == last + 1 <= gate.step


@before_landing
@pytest.mark.parametrize(
    ("file", "target", "proven"),
    [
        ("examples/bench-pump.yaml", "seal", True),
        *counts(quick=(), landing=(BELT, HEAD), nightly=(BELT, HEAD)),
    ],
)
def test_the_example_files_go_back_together(file, target, proven):
    text = (ROOT / file).read_text("utf-8")
    targets = [("off", target)]
    way_in, way_back = there_and_back(text, targets, limits=Limits(seconds=1))
    if proven is not None:
        assert (way_in.proven, way_back.proven) == (proven, proven)
    assert way_back.bound_seconds <= way_back.totals.seconds
    plain = by_hand_where_nothing_is_said(text)
    assert check_refit(plain, targets, teardown_json(way_in), refit_json(way_back)) == []


def test_what_is_undone_depends_on_what_was_done_and_not_on_when() -> None:
    machine = machine_of((ROOT / "examples/bench-pump.yaml").read_text("utf-8"))
    asked = machine, own_targets(machine, [("off", "seal")])
    in_order = plan_teardown(*asked, practice=Practice.ALL)
    in_any = plan_teardown(*asked, practice=Practice.ALL, only_to_undo=True)
    assert set(names(in_any)) == set(names(in_order))
    there, back = (plan_refit(way, practice=Practice.ALL) for way in (in_order, in_any))
    assert names(there) == names(back)


HOLDER = """
machine: A pulley cracked against a belt whose own clamp has a torque
positions: {bench: {label: At the bench}, under: {label: Underneath, enter: 60 s}}
parts:
  belt:
    joints:
      clamp: {kind: bolt, head: 10, time: 20 s, torque: 9 N.m}
      guide: {kind: bolt, head: 8, from: under, time: 20 s, torque: 9 N.m}
  pulley:
    trapped_by: [belt]
    joints:
      bolt: {kind: bolt, head: 13, time: 20 s, torque: 22 N.m, crack: {while: [belt]}}
"""


def test_what_holds_a_cracked_joint_has_its_own_torque_first():
    targets = [("off", "pulley")]
    way_in, way_back = there_and_back(HOLDER, targets)
    assert faults(HOLDER, targets, way_in, way_back) == []
    assert [gate.joint for gate in way_back.gates][-1] == "pulley/bolt"


SWUNG = """
machine: An arm slackened at one end, then freed at the other
start: door
positions:
  door: {label: At the door, enter: 60 s}
  bench: {label: At the bench}
  under: {label: Underneath, enter: 60 s, leave: 60 s}
parts:
  arm:
    from: bench
    loose: {joints: [pivot]}
    aside: {joints: [end]}
    joints:
      pivot: {kind: bolt, head: 13, from: door, time: 30 s}
      end: {kind: bolt, head: 13, time: 30 s, behind: [cap]}
  lid: {from: under, joints: {j: {kind: bolt, head: 13, time: 30 s}}}
  cap:
    from: bench
    behind: [{any: [{arm: loose}, lid]}]
    joints: {j: {kind: clip, tool: hand, time: 5 s}}
"""


def test_a_slackened_joint_is_tightened_once_its_part_is_back():
    # Seating the arm is not needed for the cap, which goes on before the lid; the bolt at the door is at hand
    # right away, and would be tight before the arm is back.
    targets = [("off", "arm=aside"), ("off", "lid")]
    way_in, way_back = there_and_back(SWUNG, targets)
    assert {"loosen arm", "move-aside arm"} <= set(names(way_in))
    assert faults(SWUNG, targets, way_in, way_back) == []
    steps = names(way_back)
    assert steps.index("move-back arm") < steps.index("tighten arm/pivot")


WET = """
machine: A cracked joint that a fluid wets, under its filler
positions: {{bench: {{label: At the bench}}}}
fluids:
  oil: {{volume: 1 L, drain: {{time: 60 s, behind: [belt]}}, fill: {{time: 60 s, behind: [{filler}]}}}}
parts:
  cover: {{joints: {{j: {{kind: bolt, head: 10, time: 20 s}}}}}}
  belt: {{behind: [cover], joints: {{j: {{kind: clip, tool: hand, time: 10 s}}}}}}
  pulley:
    trapped_by: [belt]
    wet: [oil]
    joints: {{bolt: {{kind: bolt, head: 13, time: 20 s, torque: 22 N.m, crack: {{while: [belt]}}}}}}
"""


def test_a_fluid_is_filled_after_a_cracked_joint_has_its_torque_and_while_its_filler_is_in_reach():
    text, targets = WET.format(filler="cover"), [("off", "pulley")]
    way_in, way_back = there_and_back(text, targets)
    assert faults(text, targets, way_in, way_back) == []
    steps = names(way_back)
    assert steps.index("torque pulley/bolt") < steps.index("fill oil") < steps.index("fit cover")
    assert way_back.unreachable_fills == ()


def test_a_fluid_is_filled_after_a_cracked_joint_that_was_only_slackened_too():
    text = """
machine: A wet pulley cracked and slackened
positions: {bench: {label: At the bench}}
fluids: {oil: {volume: 1 L, drain: {time: 60 s}, fill: {time: 60 s}}}
parts:
  belt: {joints: {j: {kind: clip, tool: hand, time: 10 s}}}
  pulley:
    wet: [oil]
    loose: {joints: [bolt]}
    joints: {bolt: {kind: bolt, head: 13, time: 20 s, torque: 22 N.m, crack: {while: [belt]}}}
"""
    # Filling by hand before the wrench is taken up would save putting it down.
    targets = [("off", "belt"), ("off", "pulley=loose")]
    way_in, way_back = there_and_back(text, targets)
    assert "undo pulley/bolt" not in names(way_in)
    assert faults(text, targets, way_in, way_back) == []
    steps = names(way_back)
    assert steps.index("torque pulley/bolt") < steps.index("fill oil")


@pytest.mark.parametrize("filler", ["belt", "other"])
def test_a_filler_that_is_out_of_reach_when_it_is_needed_is_named(filler):
    # The pulley's torque, before the filling, waits for the belt; and nothing takes the other part off.
    text = WET.format(filler=filler) + "  other: {joints: {j: {kind: clip, tool: hand, time: 5 s}}}\n"
    targets = [("off", "pulley")]
    way_in, way_back = there_and_back(text, targets)
    assert faults(text, targets, way_in, way_back) == []
    assert [fluid for fluid, _ in way_back.unreachable_fills] == ["oil"]


def test_the_torque_wrench_takes_the_joints_own_tool_and_swaps_from_one_to_the_next():
    way_in, way_back = there_and_back(HOLDER, [("off", "pulley")])
    torques = [step for step in way_back.steps if step.operation.name.startswith("torque ")]
    by_tool = {step.operation.name: step.operation.tool for step in torques}
    sockets = {f"{op.name.replace('undo', 'torque')}": op.tool for op in way_in.operations if op.joint}
    for name, tool in by_tool.items():
        assert tool == f"torque-wrench+{sockets[name]}"
    swap = machine_of(HOLDER).pace.swap
    straight = [b for a, b in pairwise(torques) if b.number == a.number + 1]
    assert any(not step.reach_around and step.change_seconds == swap for step in straight)


def test_stages_and_fasteners_take_ten_seconds_each_with_the_wrench():
    text = """
machine: Head
positions: {bench: {label: At the bench}}
parts:
  head:
    joints:
      bolts: {kind: bolt, head: 13, count: 10, time: 100 s, torque: {stages: [20 N.m, 40 N.m, 90 deg]}}
"""
    _, way_back = there_and_back(text, [("off", "head")])
    assert [step.seconds for step in way_back.steps] == [10, 100, Fraction(10 * 10 * 3)]


def test_nothing_off_means_nothing_back():
    _, way_back = there_and_back(PAGE, [("reach", "guard")])
    assert (way_back.steps, way_back.gates, way_back.totals.seconds, way_back.proven) == ((), (), 0, True)


WASTE = """
machine: M
positions: {bench: {}}
fluids:
  rinse: {volume: 1 L, drain: {time: 60}, fill: none}
  oil: {volume: 1 L, drain: {time: 60}, fill: {time: 60}}
parts:
  sump: {wet: [rinse, oil], joints: {bolts: {kind: bolt, tool: hand, time: 30}}}
"""


def test_waste_is_drained_and_not_filled_again():
    way_in, way_back = there_and_back(WASTE, [("off", "sump")])
    assert {"drain rinse", "drain oil"} <= set(names(way_in))
    assert [name for name in names(way_back) if name.split()[0] in ("fill", "leak-check")] == [
        "fill oil",
        "leak-check oil",
    ]
    assert not faults(WASTE, [("off", "sump")], way_in, way_back)
