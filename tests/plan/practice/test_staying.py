"""Nobody leaves what could be done at once: small machines of our own invention."""

import pytest

from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import names, there_and_back
from tests.support.practice_checker import breaches_back

BAR = """
machine: A pulley with a holding bar, invented
pace: {walk: 60 s}
positions: {front: {}, rear: {}}
tools: {driver: {drive: none}}
tasks:
  bar: {label: Holding bar on, tool: driver, time: 20 s, serves: [pulley/bolt], undo: {time: 10 s}}
parts:
  cover: {joints: {bolts: {kind: bolt, head: 19, torque: 50 N.m, time: 60 s}}}
  box:
    from: rear
    behind: [cover]
    joints: {screws: {kind: screw, tool: driver, time: 60 s}}
  pulley:
    trapped_by: [box]
    joints: {bolt: {kind: bolt, head: 19, torque: 50 N.m, time: 60 s}}
"""


@pytest.mark.parametrize("place", ["front", "rear"])
def test_nobody_leaves_what_could_be_torqued_with_its_helper_set_up(place):
    text = BAR.replace("tool: driver, time: 20 s", f"from: {place}, tool: driver, time: 20 s")
    way_in, back = there_and_back(text, [("off", "pulley")], practice=Practice.ALL)
    home = names(back)
    assert home[1:5] == ["fasten pulley/bolt", "task bar", "torque pulley/bolt", "restore bar"]
    assert back.practice.dropped == ()
    assert breaches_back(text, teardown_json(way_in), refit_json(back)) == []


def test_a_helper_of_two_joints_is_set_up_when_both_can_be_torqued():
    """Else it would stay on through all that the second waits for."""
    text = BAR.replace("[pulley/bolt]", "[pulley/bolt, cover/bolts]")
    way_in, back = there_and_back(text, [("off", "pulley")], practice=Practice.ALL)
    home = names(back)
    assert home.index("task bar") > home.index("fasten box/screws")
    assert breaches_back(text, teardown_json(way_in), refit_json(back)) == []


FLANGE = """
machine: A flange that is reached from two sides, invented
pace: {walk: 60 s}
positions: {front: {}, rear: {}}
parts:
  tray:
    from: rear
    joints: {bolts: {kind: bolt, head: 17, torque: 20 N.m, time: 60 s}}
  box:
    behind: [tray]
    joints: {screws: {kind: screw, head: T25, time: 60 s}}
  pipe:
    from: rear
    trapped_by: [box]
    joints: {nuts: {kind: nut, head: 17, torque: 20 N.m, time: 60 s}}
  manifold:
    trapped_by: [box]
    joints:
      upper: {kind: nut, head: 10, torque: 20 N.m, face: inlet, time: 60 s}
      lower: {kind: nut, head: 10, torque: 20 N.m, face: inlet, from: rear, time: 60 s}
"""


def test_a_set_that_leads_away_is_not_begun_while_something_is_to_be_fastened_or_torqued_here():
    targets = [("off", "pipe"), ("off", "manifold")]
    way_in, back = there_and_back(FLANGE, targets, practice=Practice.ALL)
    home = names(back)
    first, second = sorted((home.index("torque manifold/upper"), home.index("torque manifold/lower")))
    assert second == first + 1
    nuts = home.index("torque pipe/nuts")
    if home[first] == "torque manifold/lower":
        assert home.index("fasten pipe/nuts") < nuts < first
    else:
        assert nuts == second + 1
    assert back.practice.dropped == ()
    assert breaches_back(FLANGE, teardown_json(way_in), refit_json(back)) == []


PULLEYS = """
machine: Two pulleys on one shaft and one bar for both, invented
positions: {front: {}}
tasks: {bar: {label: Holding bar on, time: 20 s, serves: [inner/bolt, outer/bolt], undo: {time: 10 s}}}
parts:
  outer: {joints: {bolt: {kind: bolt, head: 19, time: 60 s}, dowels: {kind: dowel, tool: hand, time: 10 s}}}
  inner:
    behind: [outer]
    joints: {bolt: {kind: bolt, head: 19, time: 60 s}, dowels: {kind: dowel, tool: hand, time: 10 s}}
"""


@pytest.mark.parametrize("torque", ["", "torque: 50 N.m, "])
def test_what_a_rule_puts_before_the_next_joint_may_be_done_with_the_helper_on(torque):
    """The dowels of the outer pulley go in before its bolt, and after the inner one's is tight."""
    text = PULLEYS.replace("head: 19, ", f"head: 19, {torque}")
    way_in, back = there_and_back(text, [("off", "inner")], practice=Practice.ALL)
    home, last = names(back), "torque" if torque else "fasten"
    assert home.index("task bar") == home.index(f"{last} inner/bolt") - 1
    assert home[-2:] == [f"{last} outer/bolt", "restore bar"]
    assert way_in.practice.dropped == back.practice.dropped == ()


HEAD = """
machine: A gear head on a column, invented
positions: {front: {}, rear: {}}
tools: {trolley: {drive: none}}
tasks: {trolley: {tool: trolley, carries: [head], time: 60 s, undo: {time: 30 s}}}
parts:
  carrier:
    weight: 11 kg
    trapped_by: [head]
    joints:
      nut: {kind: nut, head: 36, time: 60 s}
      ring: {kind: circlip, tool: hand, time: 60 s, behind: [carrier/nut]}
  head:
    weight: 48 kg
    joints: {bolts: {kind: bolt, head: 19, time: 60 s}, plate: {kind: nut, head: 36, time: 60 s}}
"""


@pytest.mark.parametrize("place", ["front", "rear"])
def test_no_sling_is_set_up_for_another_part_while_a_nut_is_missing_here(place):
    """It would be lifted directly after, with a carrier on its ring alone."""
    text = HEAD.replace("weight: 48 kg", f"from: {place}\n    weight: 48 kg")
    way_in, back = there_and_back(text, [("off", "carrier"), ("off", "head")], practice=Practice.ALL)
    home = names(back)
    assert home.index("fasten carrier/nut") < home.index("task trolley") < home.index("fit head")
    assert back.practice.dropped == ()
    assert breaches_back(text, teardown_json(way_in), refit_json(back)) == []


WHEEL = """
machine: A wheel on stands, invented
positions: {front: {}, rear: {}}
tools: {jack: {drive: none}}
tasks: {raise: {from: rear, tool: jack, time: 60 s, before: [wheel], undo: {time: 60 s}}}
parts:
  hub: {behind: [wheel], joints: {cap: {kind: bolt, head: 13, time: 60 s, torque: 20 N.m}}}
  wheel: {joints: {bolts: {kind: bolt, head: 19, time: 60 s, torque: {value: 90 N.m, when: [raise]}}}}
"""


def test_each_gate_says_since_when_it_is_snug_and_why_its_place_is_left():
    _, back = there_and_back(WHEEL, [("off", "hub")], practice=Practice.ALL)
    home = [None, *names(back)]
    gates = {gate["joint"]: gate for gate in refit_json(back)["gates"]}
    for joint, gate in gates.items():
        assert home[gate["snug_step"]] == f"fasten {joint}"
        assert home[gate["step"]] == f"torque {joint}"
    assert gates["hub/cap"]["left_snug"] is None
    away = home.index("restore raise")
    assert gates["wheel/bolts"]["left_snug"] == f"it waits for step {away}: Undo: raise"
