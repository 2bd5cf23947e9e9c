"""Parts that are renewed whenever a fluid is drained: they come off in that job, and go back new."""

import pytest

from sequencer.errors import SequencerError
from sequencer.graph import derive
from sequencer.graph.blocker_tree import blockers
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.onward.present import Present
from sequencer.plan.onward.workable import workable
from sequencer.plan.resume import replan
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.job.through import begun, through
from tests.machine.texts import faults
from tests.plan.jobs import machine_of, names, own_targets, there_and_back
from tests.support.checker import check_plan
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit

PUMP = """
machine: A pump whose filter is changed with its oil
positions: {front: {}, under: {}}
fluids:
  oil: {volume: 1 L, drain: {from: under, time: 5 min}, fill: {time: 60 s}, with: [filter]}
parts:
  guard: {from: under, joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
  filter:
    label: Oil filter
    from: under
    behind: [guard]
    wet: [oil]
    joints: {shell: {kind: nut, head: 27, time: 30 s}}
  cover: {wet: [oil], joints: {bolts: {kind: bolt, head: 10, time: 60 s}}}
  lid: {joints: {bolts: {kind: bolt, head: 10, time: 60 s}}}
"""
TARGETS = [("off", "cover")]


def test_what_is_renewed_with_a_fluid_comes_off_and_goes_back_whenever_that_is_drained():
    way_in, back = there_and_back(PUMP, TARGETS)
    assert {"drain oil", "remove filter", "remove guard"} <= set(names(way_in))
    assert {"fit filter", "fit guard", "fill oil"} <= set(names(back))
    assert names(back).index("fasten filter/shell") < names(back).index("fill oil")
    assert check_plan(PUMP, TARGETS, teardown_json(way_in)) == []
    assert check_refit(PUMP, TARGETS, teardown_json(way_in), refit_json(back)) == []


def test_a_job_that_drains_nothing_leaves_it_alone():
    way_in, _ = there_and_back(PUMP, [("off", "lid")])
    assert set(names(way_in)) == {"undo lid/bolts", "remove lid"}


def test_it_is_on_the_list_of_what_is_new_where_the_file_names_nothing_else():
    way_in, _ = there_and_back(PUMP, TARGETS)
    assert ("filter", "Oil filter") in [(where, one.item) for where, one in renewals(way_in)]
    named = PUMP.replace("label: Oil filter", "renew: [{item: Cartridge}]")
    way_in, _ = there_and_back(named, TARGETS)
    assert [one.item for _, one in renewals(way_in)] == ["Cartridge"]


def test_the_tree_says_why_it_is_taken_off():
    machine = machine_of(PUMP)
    targets = own_targets(machine, TARGETS)
    tree = blockers(derive(machine), targets, names(plan_teardown(machine, targets)))
    (call,) = tree.things["filter"].calls
    assert call.reason.text == "filter is renewed whenever oil is drained"
    assert tree.things["filter"].parent == "oil"


def test_once_it_is_drained_it_is_owed_whatever_the_plan_was():
    machine = machine_of(PUMP)
    targets = own_targets(machine, TARGETS)
    drained = Present(done=("drain oil", "undo cover/bolts", "remove cover"))
    left = names(replan(machine, targets, drained).plan)
    assert left[-1] == "remove filter"
    graph = derive(machine)
    assert workable(graph, targets, drained, left)
    assert not workable(graph, targets, drained, ())
    order = ("drain oil", "undo cover/bolts", "remove cover")
    assert not workable(graph, targets, Present(), order)


@before_landing
def test_a_job_does_it_in_its_turn_both_ways(tmp_path):
    into, back = through(tmp_path, PUMP, ["cover"])
    assert "remove filter" in into
    assert "fit filter" in back


def test_the_blockers_of_what_can_not_come_off_are_named():
    text = PUMP.replace("behind: [guard]", "behind: [lid]").replace("lid: {", "lid: {behind: [filter], ")
    machine = machine_of(text)
    with pytest.raises(SequencerError, match="this can't be reached") as caught:
        plan_teardown(machine, own_targets(machine, TARGETS))
    assert "filter" in str(caught.value)
    assert "lid" in str(caught.value)


def test_where_another_way_needs_no_draining_that_is_taken_then():
    text = PUMP.replace("behind: [guard]", "behind: [lid]").replace("lid: {", "lid: {behind: [filter], ")
    text += "  plate: {behind: [{any: [cover, guard]}], joints: {pin: {kind: clip, tool: hand, time: 5 s}}}\n"
    machine = machine_of(text)
    order = names(plan_teardown(machine, own_targets(machine, [("off", "plate")])))
    assert "drain oil" not in order
    assert "remove guard" in order


@before_landing
@pytest.mark.parametrize("number", range(1, 90, counts(quick=23, landing=4, nightly=4)))
def test_plans_take_the_least_time_with_it_and_their_way_back_is_sound(number):
    text, targets = random_machine(number, 2 + number % 3, torques=True)
    try:
        machine = machine_of(text)
        way_in = plan_teardown(machine, own_targets(machine, targets))
    except SequencerError:
        return
    assert check_plan(text, targets, teardown_json(way_in)) == []
    assert way_in.totals.seconds == best_seconds(text, targets)
    assert check_refit(text, targets, teardown_json(way_in), refit_json(plan_refit(way_in))) == []


def test_a_name_of_no_part_is_refused_with_its_line():
    said = faults(PUMP.replace("with: [filter]", "with: [filtre]"))
    assert any("there is no part `filtre`" in one for one in said), said


def test_the_page_of_a_job_says_that_it_is_next(tmp_path):
    with begun(tmp_path, PUMP, ["cover"]) as desk:
        ahead = [step.operation.name for step in desk.plan().steps]
        desk.done([name for name in ahead if "filter" not in name and "guard" not in name])
        assert [step.operation.name for step in desk.plan().steps][-1] == "remove filter"
