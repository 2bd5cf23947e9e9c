"""A drain that runs once more after a part is off, and stays open until then."""

import pytest

from sequencer.document.steps.cards import teardown_cards
from sequencer.errors import SequencerError
from sequencer.graph import derive
from sequencer.plan.onward.present import Present
from sequencer.plan.onward.workable import workable
from sequencer.plan.resume import replan
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.job.through import through
from tests.machine.texts import faults
from tests.plan.jobs import machine_of, names, own_targets, there_and_back
from tests.support.checker import check_plan
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit

TANK = """\
machine: A tank whose pipe empties into it, invented for this test
positions: {front: {}, under: {}}
fluids:
  oil:
    volume: 2 L
    drain: {from: under, time: 2 min, plug: {tool: hand, torque: 25 N.m}, again_after: pipe}
    fill: {time: 60 s}
parts:
  pipe: {wet: [oil], joints: {nut: {kind: union, head: 17, time: 30 s}}}
  lid: {wet: [oil], joints: {bolts: {kind: bolt, head: 10, time: 30 s}}}
"""


def both(text, *off):
    targets = [("off", part) for part in off]
    way_in, back = there_and_back(text, targets)
    told = teardown_json(way_in)
    assert check_plan(text, targets, told) == []
    assert check_refit(text, targets, told, refit_json(back)) == []
    return way_in, names(back)


def test_it_is_drained_once_more_after_that_part_and_closed_on_the_way_back():
    way_in, home = both(TANK, "pipe")
    steps = names(way_in)
    assert steps.index("drain oil") < steps.index("remove pipe") < steps.index("drain oil again")
    assert home.index("close oil") < home.index("fill oil")
    assert not any("again" in step for step in home)
    assert {step.seconds for step in way_in.steps if step.operation.name.startswith("drain")} == {120}


def test_a_job_that_leaves_the_part_alone_drains_once():
    way_in, _ = both(TANK, "lid")
    assert "drain oil again" not in names(way_in)
    dry = TANK.replace("pipe: {wet: [oil], ", "pipe: {")
    way_in, _ = both(dry, "pipe")
    assert names(way_in) == ["undo pipe/nut", "remove pipe"]
    way_in, _ = both(dry, "pipe", "lid")
    assert names(way_in).count("drain oil again") == 1


def test_the_steps_say_so():
    way_in, _ = both(TANK, "pipe")
    cards = [card for station in teardown_cards(way_in) for card in station.steps]
    said = {card.operation: (card.words, *card.lines) for card in cards}
    number = next(step.number for step in way_in.steps if step.operation.again)
    assert f"leave it open: it is drained once more at step {number}" in said["drain oil"]
    assert said["drain oil again"][0] == "Drain oil once more"


def test_it_may_stand_with_the_plug():
    text = TANK.replace("25 N.m}, again_after: pipe}", "25 N.m, again_after: pipe}}")
    assert machine_of(text).fluids["oil"].again_after == "pipe"


@pytest.mark.parametrize(
    ("new", "said"),
    [
        ("again_after: pip}", "there is no part `pip`; did you mean `pipe`?"),
        ("again_after: pipe, behind: [pipe]}", "`pipe` is off before `oil` is drained at all"),
    ],
)
def test_each_fault_is_said(new, said):
    found = faults(TANK.replace("again_after: pipe}", new))
    assert all(one.startswith("6:") for one in found)
    assert any(said in one for one in found)


def test_two_of_them_that_differ_are_refused():
    (found,) = faults(TANK.replace("25 N.m}", "25 N.m, again_after: lid}"))
    assert "`again_after` is beside the plug, and of it" in found


def test_once_both_are_done_it_is_owed():
    machine = machine_of(TANK)
    targets = own_targets(machine, [("off", "pipe")])
    graph = derive(machine)
    half = Present(done=("drain oil", "undo pipe/nut"))
    assert names(replan(machine, targets, half).plan) == ["remove pipe", "drain oil again"]
    done = Present(done=("drain oil", "undo pipe/nut", "remove pipe"))
    assert names(replan(machine, targets, done).plan) == ["drain oil again"]
    assert workable(graph, targets, done, ("drain oil again",))
    assert not workable(graph, targets, done, ())


def test_a_job_does_it_in_its_turn_both_ways(tmp_path):
    into, home = through(tmp_path, TANK, ["pipe"])
    assert into[-1] == "drain oil again"
    assert "close oil" in home


@before_landing
@pytest.mark.parametrize("number", range(0, 60, counts(quick=20, landing=3, nightly=3)))
def test_plans_take_the_least_time_with_it(number):
    text, targets = random_machine(number, 2 + number % 2, torques=True)
    try:
        way_in, back = there_and_back(text, targets)
    except SequencerError:
        return
    assert check_plan(text, targets, teardown_json(way_in)) == []
    assert way_in.totals.seconds == best_seconds(text, targets)
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []
