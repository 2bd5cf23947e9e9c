"""What a mechanic would object to, as small machines of our own invention: good practice has none of it."""

import pytest

from sequencer.document.steps.cards import refit_cards
from sequencer.plan.hazards.stops import Left, stops
from sequencer.plan.practice.rules import Practice, RuleName, Why
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import names, teardown, there_and_back
from tests.plan.test_carries import GEARBOX
from tests.support.checker import check_plan
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
    assert way_in.practice.added.seconds == way_in.totals.seconds - plain.totals.seconds > 0


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


HELPER = """
machine: Crank pulley with a holding bar, invented
pace: {walk: 30 s}
positions: {front: {}, rear: {}}
tools: {bar: {label: Holding bar, drive: none}}
tasks:
  hold: {label: Holding bar on, from: rear, tool: bar, time: 1 min, serves: [pulley/bolt],
         undo: {label: Holding bar off, time: 30 s}}
parts:
  belt: {joints: {tension: {kind: tensioner, tool: hand, time: 40 s}}}
  pulley:
    trapped_by: [belt]
    weight: 4 kg
    joints:
      bolt: {kind: bolt, head: 21, time: 40 s, torque: 110 N.m, thread: M14, class: 10.9}
      cap: {kind: clip, tool: hand, time: 5 s}
"""


def runs(order, *steps):
    """Whether the steps follow one another directly."""
    at = order.index(steps[0])
    return tuple(order[at : at + len(steps)]) == steps


def test_a_holding_bar_goes_on_directly_before_its_joint_and_comes_off_directly_after():
    targets = [("off", "pulley")]
    plain_in, plain_back = there_and_back(HELPER, targets)
    assert "restore hold" not in names(plain_in)
    assert "task hold" not in names(plain_back)
    way_in, back = there_and_back(HELPER, targets, practice=Practice.ALL)
    there, home = teardown_json(way_in), refit_json(back)
    assert runs(names(way_in), "task hold", "undo pulley/bolt", "restore hold")
    assert runs(names(back), "task hold", "torque pulley/bolt", "restore hold")
    assert names(back).index("fasten pulley/bolt") < names(back).index("task hold")
    assert way_in.practice.added.seconds == way_in.totals.seconds - plain_in.totals.seconds
    assert back.practice.added.seconds == back.totals.seconds - plain_back.totals.seconds
    assert there["not_kept"] == home["not_kept"] == []
    assert check_plan(HELPER, targets, there) == []
    assert check_refit(HELPER, targets, there, home) == []


def test_a_bar_serves_the_breaking_loose_and_the_tightening_for_good():
    text = HELPER.replace("class: 10.9}", "class: 10.9, crack: {while: [belt], time: 20 s}}")
    targets = [("off", "pulley")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    assert runs(names(way_in), "task hold", "crack pulley/bolt", "restore hold")
    assert runs(names(back), "task hold", "torque pulley/bolt", "restore hold")
    text = text.replace("torque: 110 N.m, ", "")
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    assert runs(names(back), "task hold", "retighten pulley/bolt", "restore hold")
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []


def test_between_two_joints_of_a_helper_comes_only_what_the_next_one_waits_for():
    text = HELPER.replace("[pulley/bolt]", "[pulley/bolt, wheel/nut]") + (
        "  lid: {joints: {clip: {kind: clip, tool: hand, time: 1 s}}}\n"
        "  wheel: {from: rear, behind: [lid], joints: {nut: {kind: nut, head: 21, time: 9 s}}}\n"
    )
    targets = [("off", "pulley"), ("off", "wheel")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    order = names(way_in)
    between = order[order.index("task hold") + 1 : order.index("restore hold")]
    assert set(between) <= {"undo pulley/bolt", "undo lid/clip", "remove lid", "undo wheel/nut"}
    assert between[0] in ("undo pulley/bolt", "undo wheel/nut")
    order = names(back)
    between = order[order.index("task hold") + 1 : order.index("restore hold")]
    assert {"torque pulley/bolt", "fasten wheel/nut"} <= set(between)
    assert between[-1] in ("torque pulley/bolt", "fasten wheel/nut")
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []


def test_what_is_done_before_everything_else_can_not_go_on_directly_before_its_joint_and_says_so():
    text = HELPER.replace("parts:\n", "first: [hold]\nparts:\n", 1).replace(
        "    trapped_by: [belt]", "    behind: [belt]"
    )
    plan = teardown(text, [("off", "pulley")], practice=Practice.ALL)
    [rule] = teardown_json(plan)["not_kept"]
    assert (rule["rule"], rule["subject"], rule["op"]) == ("serves", "hold", "task hold")
    assert "does not go on directly before the joint that it serves" in rule["says"]
    assert runs(names(plan), "undo pulley/bolt", "restore hold")


def test_what_a_sling_comes_after_says_so():
    text = """
machine: A flywheel in a sling, invented
positions: {front: {}}
tools: {bar: {drive: none}}
tasks:
  sling: {label: Sling, carries: [wheel], undo: {}}
  hold: {tool: bar, serves: [wheel/nut], undo: {}}
parts: {wheel: {weight: 62 kg, joints: {nut: {kind: nut, head: 46}}}}
"""
    plan = teardown(text, [("off", "wheel")], practice=Practice.ALL)
    [rule] = teardown_json(plan)["not_kept"]
    assert rule["says"].endswith("(Sling comes last: it takes a weight)")


def test_nothing_is_put_away_that_nothing_undoes():
    text = HELPER.replace(",\n         undo: {label: Holding bar off, time: 30 s}}", "}")
    way_in, back = there_and_back(text, [("off", "pulley")], practice=Practice.ALL)
    assert runs(names(way_in), "task hold", "undo pulley/bolt")
    assert not {"restore hold", "task hold"} & {*names(back), *(set(names(way_in)) - {"task hold"})}


def test_what_was_put_away_holds_nothing_up_any_more():
    text = HELPER.replace("Holding bar on", "Prop the pulley")
    for plan in there_and_back(text, [("off", "pulley")], practice=Practice.ALL):
        order = names(plan)
        held = [any(one.left is Left.HELD_UP for one in stop.loose) for stop in stops(plan)]
        on, off = order.index("task hold"), order.index("restore hold")
        assert held == [on < after <= off for after in range(len(order) + 1)]


def test_of_two_helpers_of_a_joint_the_one_that_is_done_comes_off_and_the_other_stays():
    """A mandrel for the cover alone, a lock for cover and flywheel."""
    text = """
machine: Clutch at the bench, invented
positions: {bench: {}}
tools: {lock: {drive: none}, mandrel: {drive: none}}
tasks:
  lock: {tool: lock, time: 60 s, serves: [cover/bolts, flywheel/bolts], undo: {time: 9 s}}
  centre: {tool: mandrel, time: 60 s, serves: [cover/bolts], undo: {time: 9 s}}
parts:
  cover: {weight: 4 kg, joints: {bolts: {kind: bolt, head: 13, time: 60 s, torque: 25 N.m}}}
  flywheel:
    weight: 8 kg
    behind: [cover]
    joints: {bolts: {kind: bolt, head: 17, time: 60 s, torque: 60 N.m}}
"""
    targets = [("off", "flywheel")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    assert way_in.practice.dropped == back.practice.dropped == ()
    assert runs(names(way_in), "undo cover/bolts", "restore centre", "remove cover", "undo flywheel/bolts")
    assert runs(names(back), "task centre", "torque cover/bolts")
    assert [name for name in names(back) if name.endswith(" lock")] == ["task lock", "restore lock"]
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []


@pytest.mark.parametrize("serves", ["", "serves: [pulley/cap], "])
def test_a_helper_on_which_another_stands_stays_as_long_as_that(serves):
    other = (
        f"  lock: {{after: [hold], before: [pulley/cap], {serves}time: 9 s, undo: {{time: 5 s}}}}\nparts:\n"
    )
    text = HELPER.replace("parts:\n", other, 1)
    targets = [("off", "pulley")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    there, home = names(way_in), names(back)
    if serves:
        assert there.index("task hold") < there.index("restore lock") < there.index("restore hold")
        assert home.index("task hold") < home.index("task lock") < home.index("restore lock")
    else:
        assert not {"restore hold", "restore lock"} & set(there)
    assert home.index("restore lock") < home.index("restore hold")
    assert check_plan(text, targets, teardown_json(way_in)) == []
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []


def test_what_a_position_asks_for_stays_until_the_last_work_there():
    text = HELPER.replace("rear: {}", "rear: {}, side: {needs: [hold]}").replace(
        "cap: {kind: clip,", "cap: {kind: clip, from: side,"
    )
    targets = [("off", "pulley")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    there, home = names(way_in), names(back)
    assert there.index("undo pulley/cap") < there.index("restore hold")
    assert home.index("task hold") < home.index("fasten pulley/cap") < home.index("restore hold")
    assert check_plan(text, targets, teardown_json(way_in)) == []
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []


INLET = """
machine: Inlet, invented
pace: {walk: 10 s}
positions: {front: {}, rear: {}}
parts:
  inlet:
    joints:
      top: {kind: bolt, head: 10, count: 3, each: 10 s, torque: 9 N.m, thread: M6, class: 8.8, face: flange}
      low: {kind: bolt, head: 10, from: rear, time: 20 s, torque: 9 N.m, thread: M6, class: 8.8, face: flange}
      stay: {kind: bolt, head: 13, from: rear, time: 20 s, torque: 20 N.m, settle: true}
"""


def test_a_face_is_one_set_and_the_stay_comes_after_it():
    targets = [("off", "inlet")]
    _, plain = there_and_back(INLET, targets)
    assert not runs(names(plain), "torque inlet/low", "torque inlet/top", "torque inlet/stay")
    _, back = there_and_back(INLET, targets, practice=Practice.ALL)
    order = names(back)
    assert max(order.index(f"fasten inlet/{j}") for j in ("top", "low", "stay")) < order.index(
        "torque inlet/low"
    )
    assert runs(order, "torque inlet/low", "torque inlet/top", "torque inlet/stay")
    assert refit_json(back)["not_kept"] == []


def test_a_member_that_anothers_part_closes_off_is_torqued_before_alone():
    text = INLET + (
        "  cover:\n    joints:\n      bolts: {kind: bolt, head: 10, time: 9 s, torque: 9 N.m, face: flange}\n"
    )
    text = text.replace("top: {kind: bolt,", "top: {behind: [cover], kind: bolt,")
    _, back = there_and_back(text, [("off", "inlet")], practice=Practice.ALL)
    order = names(back)
    assert order.index("torque inlet/top") < order.index("fit cover")
    assert order.index("fasten inlet/low") < min(
        order.index("torque inlet/low"), order.index("torque cover/bolts")
    )
    assert abs(order.index("torque inlet/low") - order.index("torque cover/bolts")) == 1
    assert refit_json(back)["not_kept"] == []


def test_the_set_waits_for_what_any_member_waits_for_and_nobody_is_said_to_leave_it_snug():
    text = INLET.replace(
        "face: flange}\n      low", "face: flange, crack: {while: [belt], time: 5 s}}\n      low"
    ) + ("  belt: {from: rear, joints: {tension: {kind: tensioner, tool: hand, time: 40 s}}}\n")
    text = text.replace("  inlet:\n", "  inlet:\n    trapped_by: [belt]\n")
    _, back = there_and_back(text, [("off", "inlet")], practice=Practice.ALL)
    order = names(back)
    assert order.index("fasten belt/tension") < order.index("torque inlet/low")
    assert abs(order.index("torque inlet/low") - order.index("torque inlet/top")) == 1
    assert refit_json(back)["not_kept"] == []


def test_where_the_torque_waits_until_something_is_back_the_bead_ends_at_snug():
    text = SUMP.replace("torque: 20 N.m}", "torque: {value: 20 N.m, when: [belt]}}").replace(
        "    weight: 2 kg\n", "    weight: 2 kg\n    trapped_by: [belt]\n"
    )
    text += "  belt: {joints: {tension: {kind: tensioner, tool: hand, time: 5 min}}}\n"
    targets = [("off", "sump"), ("off", "belt")]
    _, back = there_and_back(text, targets, practice=Practice.ALL)
    order = names(back)
    assert order.index("fasten sump/ears") < order.index("torque sump/ears")
    assert order.index("fit belt") < order.index("torque sump/ears")
    between = order[order.index("seal sump") + 1 : order.index("torque sump/bolts")]
    assert all("sump" in name for name in between)
    assert refit_json(back)["not_kept"] == []


def test_a_settled_joint_that_has_to_be_first_is_named():
    text = INLET.replace("stay: {", "stay: {behind: [cover], ").replace(
        "class: 8.8, face: flange}\n      low", "class: 8.8, crack: {while: [cover], time: 5 s}}\n      low"
    )
    text += "  cover: {joints: {clip: {kind: clip, tool: hand, time: 1 s}}}\n"
    _, back = there_and_back(text, [("off", "inlet")], practice=Practice.ALL)
    order = names(back)
    assert order.index("torque inlet/stay") < order.index("fit cover") < order.index("torque inlet/top")
    assert order.index("torque inlet/low") < order.index("torque inlet/stay")
    [rule] = refit_json(back)["not_kept"]
    assert (rule["rule"], rule["subject"], rule["op"]) == ("face", "inlet/stay", "torque inlet/stay")
    assert "inlet: stay gets its torque before inlet: top" in rule["says"]


SUMP = """
machine: Sump, invented
pace: {walk: 10 s}
positions: {under: {}, side: {}}
parts:
  sump:
    weight: 2 kg
    sealant: {kind: rtv, assemble_within: 20 min, cure: 2 h}
    joints:
      bolts: {kind: bolt, head: 10, count: 2, each: 10 s, torque: 9 N.m}
      ears: {kind: bolt, head: 13, from: side, time: 20 s, torque: 20 N.m}
  lid: {joints: {bolts: {kind: bolt, head: 10, time: 9 s}}}
  flap: {from: side, joints: {bolts: {kind: bolt, head: 13, time: 9 s}}}
"""


def test_from_the_bead_to_the_torque_there_is_no_other_work():
    targets = [("off", part) for part in ("sump", "lid", "flap")]
    for practice in (Practice.NONE, Practice.ALL):
        way_in, back = there_and_back(SUMP, targets, practice=practice)
        order = names(back)
        last = max(order.index("torque sump/bolts"), order.index("torque sump/ears"))
        between = order[order.index("seal sump") + 1 : last]
        own = all("sump" in name for name in between)
        assert own is (practice is Practice.ALL), order
    data = refit_json(back)
    assert data["not_kept"] == []
    assert check_refit(SUMP, targets, teardown_json(way_in), data) == []


def test_work_that_takes_more_than_two_fifths_of_the_working_time_is_named():
    text = SUMP.replace("20 min", "5 min")
    _, back = there_and_back(text, [("off", "sump")], practice=Practice.ALL)
    assert 120 < back.totals.seconds < 300
    [rule] = refit_json(back)["not_kept"]
    assert (rule["rule"], rule["subject"], rule["op"]) == ("sealed", "sump", "seal sump")
    assert "takes more than 40 % of the working time" in rule["says"]


def test_where_the_torque_waits_for_another_part_the_bead_ends_at_snug_and_the_time_is_said():
    text = (
        SUMP.replace("torque: 20 N.m}", "torque: 20 N.m, crack: {while: [belt], time: 5 s}}").replace(
            "    weight: 2 kg\n", "    weight: 2 kg\n    trapped_by: [belt]\n"
        )
        + "  belt: {joints: {tension: {kind: tensioner, tool: hand, time: 5 min}}}\n"
    )
    _, back = there_and_back(text, [("off", "sump")], practice=Practice.ALL)
    order = names(back)
    between = order[order.index("seal sump") + 1 : order.index("torque sump/bolts")]
    assert all("sump" in name for name in between)
    assert order.index("fasten sump/ears") < order.index("fit belt") < order.index("torque sump/ears")
    assert refit_json(back)["not_kept"] == []
    said = [line for card in refit_cards(back) for step in card.steps for line in step.lines]
    assert any("sump: ears gets its torque" in line and "later, at step" in line for line in said)


def test_a_jack_goes_in_directly_before_what_bears_its_load_and_nobody_works_below_meanwhile():
    text = GEARBOX.replace("from: side, tool: jack", "from: under, tool: jack")
    targets = [("off", part) for part in ("gearbox", "mount", "guard", "pan")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    there, home = names(way_in), names(back)
    first = there[there.index("task prop") + 1]
    assert first in ("undo gearbox/bolts", "undo gearbox/dowels", "undo mount/stud")
    between = there[there.index("task prop") : there.index("restore prop")]
    assert not {"undo guard/screws", "remove guard", "undo pan/screws", "remove pan"} & set(between)
    assert runs(home, "task prop", "fit gearbox")
    between = home[home.index("task prop") : home.index("restore prop")]
    assert not {"fit guard", "fasten guard/screws", "fit pan", "fasten pan/screws"} & set(between)
    for plan, data in ((way_in, teardown_json(way_in)), (back, refit_json(back))):
        assert data["not_kept"] == [], names(plan)


def test_what_is_held_below_comes_away_as_ever_before_a_jack_goes_in():
    text = GEARBOX.replace("guard: {from: under, ", "guard: {from: under, weight: 5 kg, ").replace(
        "weight: 42 kg", "weight: 42 kg\n    behind: [guard]"
    )
    targets = [("off", part) for part in ("gearbox", "mount", "guard", "pan")]
    way_in, back = there_and_back(text, targets, practice=Practice.ALL)
    assert way_in.practice.dropped == back.practice.dropped == ()
    assert runs(names(way_in), "undo guard/screws", "remove guard")
    assert runs(names(back), "fit guard", "fasten guard/screws")


def test_nobody_goes_below_a_weight_though_another_rule_sends_him_there():
    text = (
        GEARBOX.replace("guard: {from: under, ", "guard: {from: under, weight: 5 kg, ")
        .replace("guard: {", "guard: {behind: [mount], ")
        .replace("{kind: screw, head: T25, time: 9 s}", "{kind: screw, head: T25, time: 9 s, from: side}", 1)
    )
    way_in, back = there_and_back(
        text, [("off", part) for part in ("gearbox", "guard")], practice=Practice.ALL
    )
    there, home = names(way_in), names(back)
    assert there.index("restore prop") < there.index("undo guard/screws")
    assert runs(there, "undo guard/screws", "remove guard")
    assert not set(home[home.index("task prop") : home.index("restore prop")]) & {"fit guard"}
    assert way_in.practice.dropped == back.practice.dropped == ()


def test_what_can_be_reached_only_while_a_jack_carries_is_named():
    text = GEARBOX.replace("carries: [gearbox]", "carries: [gearbox, mount]").replace(
        "mount: {joints", "mount: {behind: [pan], joints"
    )
    way_in = teardown(text, [("off", "mount")], practice=Practice.ALL)
    rules = teardown_json(way_in)["not_kept"]
    assert {(rule["rule"], rule["subject"], rule["op"]) for rule in rules} == {
        ("carried", "prop", "undo pan/screws"),
        ("carried", "prop", "remove pan"),
    }
    assert all("it can only be reached in the meantime" in rule["says"] for rule in rules)


def test_stands_may_be_worked_under():
    text = GEARBOX.replace("time: 4 min,", "time: 4 min, rated: true,")
    way_in = teardown(text, [("off", "gearbox"), ("off", "pan")], practice=Practice.ALL)
    assert "carried" not in {rule.name.value for rule in way_in.practice.kept}


def test_what_a_task_carries_is_not_held_besides():
    way_in = teardown(GEARBOX, [("off", "gearbox")], practice=Practice.ALL)
    assert RuleName.HOLD not in {rule.name for rule in way_in.practice.kept}
