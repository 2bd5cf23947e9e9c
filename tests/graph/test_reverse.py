"""The reversed graph: what answers to what, and what must be there again."""

import pytest

from sequencer.graph import derive
from sequencer.graph.fastening import torque_tool
from sequencer.graph.reverse import way_back
from sequencer.machine import read_text
from sequencer.plan.onward.present_back import setup_of
from sequencer.plan.order.setups import Setup
from tests.support.page_example import PAGE

MOTOR_OFF = (
    "task isolate", "slacken motor/feet", "loosen motor", "undo motor/plug", "undo motor/feet",
    "undo motor/cap", "remove motor",
)  # fmt: skip


def back_from(text, done):
    return way_back(derive(read_text(text, "machine.yaml").machine), done)


def waits(back, name):
    """In reversed time: what is done after it on the way back."""
    return [set(clause.any_of) for clause in back.graph.needs[name]]


def test_each_operation_is_answered_and_a_torque_has_a_gate():
    back = back_from(PAGE, MOTOR_OFF)
    assert set(back.graph.operations) == {
        "restore isolate", "tighten motor/feet", "torque motor/feet", "seat motor", "fasten motor/plug",
        "fasten motor/feet", "fasten motor/cap", "fit motor",
    }  # fmt: skip
    assert {name: joint.path for name, joint in back.gates.items()} == {"torque motor/feet": "motor/feet"}
    assert back.drives == {"torque-wrench+socket-13": "torque-wrench"}


def test_states_on_the_way_may_be_left_out_and_the_last_may_not():
    goals = {name for goal in back_from(PAGE, MOTOR_OFF).goals for name in goal.any_of}
    assert "fit motor" in goals
    assert goals.isdisjoint({"seat motor", "tighten motor/feet"})
    only = back_from(PAGE, MOTOR_OFF[:3])
    assert {name for goal in only.goals for name in goal.any_of} == {
        "restore isolate", "seat motor", "tighten motor/feet", "torque motor/feet",
    }  # fmt: skip


def test_a_task_with_nothing_to_undo_is_not_answered_and_holds_nothing_up():
    back = back_from(PAGE.replace(", undo: {label: Restore the supply, time: 1 min}", ""), MOTOR_OFF)
    assert "restore isolate" not in back.graph.operations
    assert waits(back, "fasten motor/plug") == []


def test_fastening_comes_before_what_was_behind_it_is_closed():
    done = ("task isolate", "undo guard/screws", "remove guard", "undo belt/tension", "remove belt")
    back = back_from(PAGE, done)
    assert {"fit guard"} in waits(back, "fasten belt/tension")
    assert {"fasten belt/tension"} in waits(back, "fit belt")


def test_a_cracked_joint_without_a_torque_is_tightened_again_once_its_holders_are_back():
    text = PAGE.replace("torque: 10 N.m, ", "")
    done = (
        "task isolate", "undo guard/screws", "remove guard", "crack pulley/bolts", "undo belt/tension",
        "remove belt", "undo pulley/bolts", "remove pulley",
    )  # fmt: skip
    back = back_from(text, done)
    assert "retighten pulley/bolts" in back.graph.operations
    assert back.waits == {"retighten pulley/bolts": ("belt",)}
    pairs = {(rule.before, rule.after) for rule in back.graph.orders}
    for later in ("fit belt", "fasten belt/tension", "fasten pulley/bolts"):
        assert ("retighten pulley/bolts", later) in pairs


def test_a_fluid_is_filled_from_its_filler_and_looked_at_before_its_drain_is_covered():
    done = ("task isolate", "undo guard/screws", "remove guard", "drain oil", "undo bracket/near")
    back = back_from(PAGE, done)
    fill, check = (back.graph.operations[f"{kind} oil"] for kind in ("fill", "leak-check"))
    assert (fill.position, fill.seconds, check.seconds) == ("bench", 240, 120)
    assert {"fit guard"} in waits(back, "leak-check oil")
    assert {"leak-check oil"} in waits(back, "fill oil")
    assert {"fill oil"} in waits(back, "fasten bracket/near")


@pytest.mark.parametrize(
    ("tool", "wrench"), [("socket-13", "torque-wrench+socket-13"), ("hand", "torque-wrench")]
)
def test_a_torque_wrench_is_named_for_what_is_on_it(tool, wrench):
    assert torque_tool(tool) == wrench


PULLED = """
machine: A hub that is pulled off and driven on
positions: {bench: {}, press: {}}
tools: {puller: {}, drift: {}}
parts:
  hub:
    joints:
      taper: {kind: press fit, tool: puller, time: 60 s, fit: {tool: drift, time: 90 s, from: press}}
      nut: {kind: nut, head: 13, time: 30 s, torque: 20 N.m, fit: {tool: hand}}
    loose: {joints: [taper]}
"""


def test_a_joint_goes_together_from_its_own_place_with_its_own_tool_and_time():
    done = ("slacken hub/taper", "loosen hub", "undo hub/taper", "undo hub/nut", "remove hub")
    back = back_from(PULLED, done)
    ways = {name: (op.position, op.tool, op.seconds) for name, op in back.graph.operations.items()}
    assert ways["fasten hub/taper"] == ("press", "drift", 90)
    assert ways["tighten hub/taper"] == ("press", "drift", 30)
    assert [s.saved for s in back.graph.slackenings] == [30]
    assert ways["fasten hub/nut"] == ("bench", "hand", 30)
    assert ways["torque hub/nut"][:2] == ("bench", "torque-wrench+socket-13")
    machine = read_text(PULLED, "machine.yaml").machine
    for name, (position, tool, _) in ways.items():
        assert setup_of(machine, name) == Setup(position, tool)
