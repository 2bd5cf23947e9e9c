"""What a mechanic would object to, as small machines of our own invention: good practice has none of it."""

import pytest

from sequencer.plan.practice.rules import Practice, RuleName, Why
from sequencer.render.data.plan import refit_json, teardown_json
from tests.plan.jobs import names, teardown, there_and_back
from tests.support.practice_checker import breaches_back
from tests.support.refit_checker import check_refit

BELT = """
machine: Belt drive, invented
pace: {walk: 60 s}
positions: {front: {}, rear: {}}
parts:
  belt:
    from: rear
    joints: {tension: {kind: tensioner, tool: hand, time: 40 s}}
  pulley:
    trapped_by: [belt]
    joints:
      bolts: {kind: bolt, head: 10, count: 4, each: 10 s, torque: 10 N.m, thread: M6, class: 8.8,
              crack: {while: [belt], time: 20 s}}
"""

ROTOR = """
machine: Two rotors, invented
positions: {front: {}, rear: {}}
parts:
  rotor:
    weight: 12 kg
    joints: {bolts: {kind: bolt, head: 13, count: 2, each: 10 s}, plug: {kind: connector, time: 5 s}}
  counterweight:
    weight: 10 kg
    joints: {bolts: {kind: bolt, head: 13, count: 2, each: 10 s}}
"""


def test_what_was_cracked_under_the_belt_is_undone_when_the_belt_is_off_and_fastened_before_it_is_fitted():
    targets = [("off", "pulley")]
    plain, _ = there_and_back(BELT, targets)
    way_in, back = there_and_back(BELT, targets, practice=Practice.ALL)
    order, home = names(way_in), names(back)
    assert names(plain).index("undo pulley/bolts") < names(plain).index("remove belt")
    assert order.index("crack pulley/bolts") < order.index("remove belt") < order.index("undo pulley/bolts")
    assert home.index("fasten pulley/bolts") < home.index("fit belt") < home.index("torque pulley/bolts")
    assert way_in.practice.seconds == way_in.totals.seconds - plain.totals.seconds > 0


def test_nothing_hangs_while_another_thing_is_undone():
    targets = [("off", "rotor"), ("off", "counterweight")]
    plain, _ = there_and_back(ROTOR, targets)
    way_in, back = there_and_back(ROTOR, targets, practice=Practice.ALL)
    order, home = names(way_in), names(back)
    for part in ("rotor", "counterweight"):
        assert order.index(f"remove {part}") == order.index(f"undo {part}/bolts") + 1
        assert home.index(f"fasten {part}/bolts") == home.index(f"fit {part}") + 1
    assert order.index("undo rotor/plug") < order.index("undo rotor/bolts")
    assert names(plain).index("remove rotor") > names(plain).index("undo rotor/bolts") + 1
    assert way_in.practice.dropped == back.practice.dropped == ()


def test_a_part_of_which_only_slight_joints_are_left_is_named():
    text = ROTOR.replace("time: 5 s", "time: 5 s, behind: [rotor/bolts]")
    plan = teardown(text, [("off", "rotor")], practice=Practice.ALL)
    [dropped] = plan.practice.dropped
    assert (dropped.name, dropped.subject, dropped.at) == (RuleName.HOLD, "rotor", "remove rotor")
    assert dropped.why is Why.SLIGHT
    [rule] = teardown_json(plan)["not_kept"]
    assert rule["op"] == "remove rotor"
    assert "held" in rule["says"]


def test_a_holder_that_waits_for_the_joint_is_left_out_and_named():
    text = BELT.replace("    from: rear\n", "    from: rear\n    trapped_by: [pulley]\n").replace(
        "    trapped_by: [belt]\n", ""
    )
    plan = teardown(text, [("off", "belt")], practice=Practice.ALL)
    assert [(d.name, d.subject, d.why, d.other) for d in plan.practice.dropped] == [
        (RuleName.CRACK, "pulley/bolts", Why.WAITS, "belt")
    ]


@pytest.mark.parametrize("kind", ["clip", "hook", "press fit"])
def test_what_locates_comes_apart_last_and_goes_together_first(kind):
    text = ROTOR.replace("weight: 12 kg", "weight: 1 kg").replace(
        "kind: connector", f"kind: {kind}, tool: hand"
    )
    way_in, back = there_and_back(text, [("off", "rotor")], practice=Practice.ALL)
    assert names(way_in) == ["undo rotor/bolts", "undo rotor/plug", "remove rotor"]
    assert names(back) == ["fit rotor", "fasten rotor/plug", "fasten rotor/bolts"]


def test_nobody_leaves_what_could_be_fastened_or_torqued():
    text = """
machine: Three covers, invented
pace: {walk: 1 s, pick_up: 60 s, put_down: 60 s, swap: 1 s}
positions: {front: {}, rear: {}}
parts:
  a: {joints: {bolts: {kind: bolt, head: 10, time: 10 s, torque: 9 N.m, thread: M6, class: 8.8}}}
  b: {from: rear, joints: {bolts: {kind: bolt, head: 10, time: 10 s, torque: 9 N.m, thread: M6, class: 8.8}}}
  c: {joints: {bolts: {kind: bolt, head: 10, time: 10 s, torque: 9 N.m, thread: M6, class: 8.8}}}
"""
    targets = [("off", part) for part in "abc"]
    way_in, plain = there_and_back(text, targets)
    assert "not_kept" not in refit_json(plain)
    faults = breaches_back(text, teardown_json(way_in), {**refit_json(plain), "not_kept": []})
    assert {fault.split()[0] for fault in faults} == {"start", "snug"}
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    data = refit_json(back)
    assert breaches_back(text, teardown_json(way_in), data) == []
    assert check_refit(text, targets, teardown_json(way_in), data) == []
    assert data["totals"]["practice_seconds"] > 0
    assert back.proven


@pytest.mark.parametrize(("rotor", "counterweight"), [("true", "false"), ("false", "true")])
def test_the_file_says_what_has_to_be_held(rotor, counterweight):
    text = ROTOR.replace("weight: 12 kg", f"hold: {rotor}").replace(
        "weight: 10 kg", f"weight: 10 kg\n    hold: {counterweight}"
    )
    way_in, back = there_and_back(text, [("off", "rotor"), ("off", "counterweight")], practice=Practice.ALL)
    held = ["rotor"] if rotor == "true" else ["counterweight"]
    for plan in (way_in, back):
        assert [rule.subject for rule in plan.practice.kept if rule.name is RuleName.HOLD] == held


def test_what_rides_hangs_on_what_it_rides_on():
    text = ROTOR.replace("weight: 10 kg", "weight: 10 kg\n    rides: {on: rotor, with: [bolts]}")
    way_in = teardown(text, [("off", "counterweight")], practice=Practice.ALL)
    assert way_in.practice.kept == ()
