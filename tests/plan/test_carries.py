"""Tasks that carry: set up before their load comes loose, put away once it is off; the way back likewise."""

import random

import pytest

from sequencer.errors import SequencerError
from sequencer.graph import derive
from sequencer.graph.reverse import way_back
from sequencer.plan.hazards.stops import Left, stops
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import (
    by_hand_where_nothing_is_said,
    machine_of,
    names,
    teardown,
    there_and_back,
)
from tests.plan.practice.chance import add_jacks, changed
from tests.support.checker import check_plan
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit

GEARBOX = """
machine: Gearbox on a jack, invented
pace: {walk: 10 s}
positions: {side: {}, under: {below: true}}
tools: {jack: {drive: none}}
tasks:
  prop: {from: side, tool: jack, carries: [gearbox], before: [mount], time: 4 min, undo: {time: 1 min}}
parts:
  gearbox:
    from: under
    weight: 42 kg
    joints:
      bolts: {kind: bolt, head: 17, count: 3, each: 10 s, torque: 50 N.m}
      dowels: {kind: dowel, tool: hand, time: 5 s}
      plug: {kind: connector, time: 5 s}
  mount: {joints: {stud: {kind: stud, head: 15, time: 20 s, torque: 40 N.m}}}
  guard: {from: under, joints: {screws: {kind: screw, head: T25, time: 9 s}}}
  pan: {from: under, behind: [gearbox], joints: {screws: {kind: screw, head: T25, time: 9 s}}}
"""


def test_a_jack_comes_before_what_bears_or_locates_its_load_and_not_before_the_rest():
    needs = derive(machine_of(GEARBOX)).needs
    waits = {name for name in needs if any(c.any_of == ("task prop",) for c in needs[name])}
    assert waits - {"restore prop"} == {
        "undo gearbox/bolts",
        "undo gearbox/dowels",
        "undo mount/stud",
        "remove mount",
    }


def test_a_load_without_such_joints_waits_for_it_as_a_whole():
    text = GEARBOX.replace("kind: bolt", "kind: hose").replace("kind: dowel", "kind: seal")
    needs = derive(machine_of(text)).needs
    assert all(
        any(c.any_of == ("task prop",) for c in needs[name])
        for name in ("undo gearbox/plug", "undo gearbox/bolts", "remove gearbox")
    )


@pytest.mark.parametrize("practice", list(Practice))
def test_it_is_put_away_once_the_load_is_off_and_set_up_again_before_the_load_is_fitted(practice):
    targets = [("off", "gearbox"), ("off", "mount")]
    way_in, back = there_and_back(GEARBOX, targets, practice=practice)
    there, home = names(way_in), names(back)
    assert there.index("remove gearbox") < there.index("restore prop")
    assert home.index("task prop") < home.index("fit gearbox")
    assert home.index("fasten gearbox/bolts") < home.index("restore prop")
    assert check_plan(GEARBOX, targets, teardown_json(way_in)) == []
    assert check_refit(GEARBOX, targets, teardown_json(way_in), refit_json(back)) == []


def test_it_stays_where_its_load_stays():
    way_in, back = there_and_back(GEARBOX, [("off", "mount")])
    assert "restore prop" not in names(way_in)
    assert names(back).count("restore prop") == 1
    assert "task prop" not in names(back)


def test_it_waits_for_what_bears_the_load_to_be_fastened_and_for_no_torque():
    way_in = teardown(GEARBOX, [("off", "gearbox"), ("off", "mount")])
    needs = way_back(way_in.graph, names(way_in)).graph.needs  # in reversed time
    waits = {name for name in needs if any(c.any_of == ("restore prop",) for c in needs[name])}
    assert waits == {"fasten gearbox/bolts", "fasten mount/stud", "task prop"}


def test_three_loads_put_it_away_only_once_all_are_off():
    text = GEARBOX.replace("carries: [gearbox]", "carries: [gearbox, guard, pan]")
    for loads, away in ((("gearbox", "guard"), False), (("gearbox", "guard", "pan"), True)):
        targets = [("off", part) for part in loads]
        way_in = teardown(text, targets)
        assert ("restore prop" in names(way_in)) is away
        assert check_plan(text, targets, teardown_json(way_in)) == []
        assert way_in.proven


def test_it_holds_up_only_while_its_load_is_there_and_not_held_by_its_own_joints():
    way_in = teardown(GEARBOX, [("off", "gearbox")])
    order = names(way_in)
    held = [any(one.left is Left.HELD_UP for one in stop.loose) for stop in stops(way_in)]
    on = min(order.index("undo gearbox/bolts"), order.index("undo gearbox/dowels"))
    off = order.index("remove gearbox")
    assert held == [on < after <= off for after in range(len(order) + 1)]


@before_landing
def test_plans_with_jacks_are_the_quickest_and_workable_both_ways():
    asked = away = 0
    for seed in counts(quick=range(6, 12), landing=range(25), nightly=range(800)):
        text, targets = random_machine(seed, 3, torques=True)
        text = changed(by_hand_where_nothing_is_said(text), lambda m, s=seed: add_jacks(random.Random(s), m))
        try:
            way_in, back = there_and_back(text, targets)
        except SequencerError:
            continue
        there = teardown_json(way_in)
        assert check_plan(text, targets, there) == [], seed
        assert check_refit(text, targets, there, refit_json(back)) == [], seed
        if len(way_in.steps) <= 10:
            assert way_in.totals.seconds == best_seconds(text, targets), seed
            asked += 1
            away += any(name.startswith("restore ") for name in names(way_in))
    assert asked >= counts(quick=2, landing=10, nightly=10)
    assert away >= counts(quick=1, landing=2, nightly=2)
