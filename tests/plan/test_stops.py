"""In what state a machine is left after each step."""

import pytest

from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import read_text
from sequencer.plan.refit import plan_refit
from sequencer.plan.stops import Left, stops
from sequencer.plan.teardown import plan_teardown


def plans(parts, rest="", off="inner"):
    reading = read_text(f"machine: m\n{rest}\nparts:\n{parts}")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    into = plan_teardown(reading.machine, parse_targets(reading.machine, [off]))
    return into, plan_refit(into)


def left_after(plan, name, before=False):
    """What is left loose right after the step of that name, or right before it."""
    number = next(step.number for step in plan.steps if step.operation.name == name)
    stop = stops(plan)[number - 1 if before else number]
    return {(one.left, one.subject) for one in stop.loose}, stop


COVERED = """
  cover:
    joints: {top: {kind: bolt, count: 2}, plug: {kind: connector}}
  inner: {behind: [cover], joints: {b: {kind: bolt}}}
"""


def test_before_the_first_and_after_the_last_step_all_is_well():
    for plan in plans(COVERED):
        assert stops(plan)[0].safe
        assert stops(plan)[-1].safe
        assert len(stops(plan)) == len(plan.steps) + 1


def test_a_part_with_its_bolts_undone_is_half_out_until_it_is_off():
    into, back = plans(COVERED)
    assert left_after(into, "undo cover/top")[0] == {(Left.HALF_OUT_LIGHT, "cover")}
    assert not left_after(into, "undo cover/top")[1].safe
    assert left_after(into, "remove cover")[0] == set()
    assert (Left.HALF_OUT_LIGHT, "cover") in left_after(back, "fit cover")[0]


def test_a_connector_alone_does_not_leave_a_part_hanging():
    into, _ = plans("  a: {joints: {plug: {kind: connector}, bolt: {kind: bolt, behind: [a/plug]}}}", off="a")
    assert left_after(into, "undo a/plug")[1].safe


@pytest.mark.parametrize(("weight", "state"), [("4 kg", Left.HALF_OUT_LIGHT), ("5 kg", Left.HALF_OUT)])
def test_a_heavy_part_that_hangs_weighs_more(weight, state):
    into, _ = plans(f"  a: {{weight: {weight}, joints: {{b: {{kind: bolt}}}}}}", off="a")
    assert left_after(into, "undo a/b")[0] == {(state, "a")}


TASK = "tasks: {{t: {{label: {label}, before: [a], undo: {undo}}}}}"


@pytest.mark.parametrize(
    ("label", "undo", "held"),
    [
        ("Prop the engine up", "{time: 1 min}", True),
        ("Set it on stands with the jack", "{time: 1 min}", False),
        ("Prop the bonnet", "null", False),
        ("Mark the shaft", "{time: 1 min}", False),
    ],
)
def test_what_is_propped_is_not_left_unless_stands_hold_it(label, undo, held):
    rest = (
        TASK.format(label=label, undo=undo)
        if undo != "null"
        else f"tasks: {{t: {{label: {label}, before: [a]}}}}"
    )
    into, back = plans("  a: {joints: {b: {kind: clip}}}", rest, off="a")
    assert ((Left.HELD_UP, "t") in left_after(into, "task t")[0]) is held
    assert stops(back)[-1].safe


WET = """
  a: {joints: {hose: {kind: hose, wet: [oil]}, pipe: {kind: union, wet: [oil], behind: [a/hose]}}}
"""


def test_a_system_is_unsafe_while_it_is_half_open_and_to_be_minded_after():
    into, back = plans(WET, "fluids: {oil: {volume: 1 L}}", off="a")
    assert left_after(into, "drain oil")[0] == {(Left.DRAINED, "oil")}
    half, stop = left_after(into, "undo a/hose")
    assert half == {(Left.FLUID_HALF_OPEN, "oil")}
    assert not stop.safe
    opened, stop = left_after(into, "undo a/pipe")
    assert opened == {(Left.FLUID_OPEN, "oil")}
    assert stop.safe
    assert (Left.FLUID_HALF_OPEN, "oil") in left_after(back, "fasten a/pipe")[0]


def test_nobody_leaves_between_filling_and_the_look_for_leaks():
    _, back = plans(WET, "fluids: {oil: {volume: 1 L}}", off="a")
    _, stop = left_after(back, "fill oil")
    assert stop.forbidden
    assert not left_after(back, "leak-check oil")[1].forbidden


def test_nobody_leaves_while_a_sealant_is_wet():
    parts = "  a: {sealant: {kind: rtv, assemble_within: 10 min, cure: 1 h}, joints: {b: {kind: bolt}}}"
    reading = read_text(f"machine: m\nparts:\n{parts}")
    if reading.machine is None:
        parts = parts.replace("kind: rtv", "kind: silicone")
    _, back = plans(parts, off="a")
    assert left_after(back, "seal a")[1].forbidden
    assert not stops(back)[back.holds[0].after_step].forbidden


def test_a_joint_is_only_snug_until_its_torque():
    _, back = plans("  a: {joints: {b: {kind: bolt, torque: 9 N.m}}}", off="a")
    snug, stop = left_after(back, "fasten a/b")
    assert (Left.SNUG, "a/b") in snug
    assert stop.safe
    assert left_after(back, "torque a/b")[0] == set()


def test_an_eased_part_is_to_be_minded():
    parts = """
  a: {joints: {b: {kind: nut}}, loose: {joints: [b]}}
  inner: {behind: [{a: loose}], joints: {c: {kind: clip}}}
"""
    into, _ = plans(parts)
    eased, stop = left_after(into, "loosen a")
    assert (Left.EASED, "a") in eased
    assert stop.safe
