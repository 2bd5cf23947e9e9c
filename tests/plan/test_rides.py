"""A part that goes off together with another: what is undone for it, what it leaves free, what is lifted."""

import pytest

from sequencer.document.steps.cards import refit_cards, teardown_cards
from sequencer.errors import SequencerError
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import Desk
from sequencer.job.reports.whereabouts import where
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.hazards.cautions import cautions
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.job.through import ANN, through
from tests.machine.texts import faults
from tests.plan.jobs import machine_of, names, own_targets, there_and_back
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit

HEAD = """
machine: A head that takes its manifold along
positions: {front: {}, under: {}}
parts:
  head:
    weight: 16 kg
    joints: {bolts: {kind: bolt, head: 15, time: 60 s, torque: 60 N.m}}
  manifold:
    label: Exhaust manifold
    from: under
    weight: 6 kg
    rides: {on: head, with: [nuts]}
    joints:
      nuts: {kind: nut, head: 13, time: 90 s}
      pipe: {kind: nut, head: 15, time: 40 s}
  shield: {behind: [manifold], joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
"""


def test_the_rider_goes_along_once_its_other_joints_are_undone_and_back_the_same_way():
    way_in, back = there_and_back(HEAD, [("off", "head")])
    assert set(names(way_in)) == {"undo manifold/pipe", "undo head/bolts", "remove head"}
    assert names(way_in)[-1] == "remove head"
    order = names(back)
    assert set(order) == {"fit head", "fasten manifold/pipe", "fasten head/bolts", "torque head/bolts"}
    assert order[0] == "fit head"


def test_it_is_out_of_the_way_from_then_on_and_in_it_again_only_with_what_carries_it():
    targets = [("off", "shield"), ("off", "head")]
    way_in, back = there_and_back(HEAD, targets)
    assert "undo manifold/nuts" not in names(way_in)
    assert names(way_in).index("remove head") < names(way_in).index("undo shield/clip")
    assert names(back).index("fasten shield/clip") < names(back).index("fit head")
    assert check_refit(HEAD, targets, teardown_json(way_in), refit_json(back)) == []


def test_who_wants_the_rider_itself_off_takes_it_off():
    way_in, _ = there_and_back(HEAD, [("off", "manifold")])
    assert {"undo manifold/nuts", "undo manifold/pipe", "remove manifold"} == set(names(way_in))


def details(cards, op):
    (card,) = [step for station in cards for step in station.steps if step.operation == op]
    return card.details


def test_what_is_lifted_is_the_sum_and_the_caution_goes_by_it():
    way_in, back = there_and_back(HEAD, [("off", "head")])
    said = "22 kg, with Exhaust manifold riding along"
    assert details(teardown_cards(way_in), "remove head") == said
    assert details(refit_cards(back), "fit head") == said
    for plan in (way_in, back):
        told = [one.text for found in cautions(plan).values() for one in found]
        assert f"{said}: take it with a second person or a hoist." in told


def test_a_rider_that_was_taken_off_before_weighs_nothing():
    way_in, back = there_and_back(HEAD, [("off", "head"), ("off", "manifold")])
    order, again = names(way_in), names(back)
    rides_in = order.index("remove manifold") > order.index("remove head")
    rides_back = again.index("fit manifold") < again.index("fit head")
    light, heavy = "16 kg", "22 kg, with Exhaust manifold riding along"
    assert details(teardown_cards(way_in), "remove head") == (heavy if rides_in else light)
    assert details(refit_cards(back), "fit head") == (heavy if rides_back else light)


def test_a_weight_that_is_not_given_is_not_made_up():
    way_in, _ = there_and_back(HEAD.replace("    weight: 6 kg\n", ""), [("off", "head")])
    said = "at least 16 kg, with Exhaust manifold riding along"
    assert details(teardown_cards(way_in), "remove head") == said


@before_landing
@pytest.mark.parametrize("number", range(0, 60, counts(quick=15, landing=3, nightly=3)))
def test_plans_with_riders_take_the_least_time_and_their_way_back_is_sound(number):
    text, targets = random_machine(number, 2 + number % 3, torques=True)
    try:
        machine = machine_of(text)
        way_in = plan_teardown(machine, own_targets(machine, targets))
    except SequencerError:
        return
    assert way_in.totals.seconds == best_seconds(text, targets)
    back = plan_refit(way_in)
    assert check_refit(text, targets, teardown_json(way_in), refit_json(back)) == []


RIDER = (
    "parts: {p: {joints: {a: {kind: clip}}%s}, r: {joints: {n: {kind: clip}, o: {kind: clip%s}}, rides: %s}}"
)


@pytest.mark.parametrize(
    ("of_p", "of_o", "rides", "fault"),
    [
        ("", "", "{on: q, with: [n]}", "there is no part `q`"),
        ("", "", "{on: p, with: [m]}", "`r` has no joint `m`"),
        ("", "", "{on: p, with: []}", "no joint holds it to what it rides on"),
        ("", "", "{on: p}", "a ride needs `with`"),
        ("", "", "{on: r, with: [n]}", "`r` rides on itself"),
        (", behind: [r]", "", "{on: p, with: [n]}", "`p` is behind `r`, which can't go off with it then"),
        (", trapped_by: [r]", "", "{on: p, with: [n]}", "`p` is trapped by `r`, which"),
        ("", ", behind: [p]", "{on: p, with: [n]}", "`r/o` is behind `p`, so that `r` can't go off with it"),
        (", rides: {on: r, with: [a]}", "", "{on: p, with: [n]}", "`p` rides on itself"),
    ],
)
def test_a_ride_that_can_not_be_is_refused_with_its_line(of_p, of_o, rides, fault):
    said = faults(f"{RIDER % (of_p, of_o, rides)}\nmachine: m\n")
    assert any(one.startswith("1:") and fault in one for one in said), said


@before_landing
def test_a_job_with_a_rider_goes_in_and_back_to_the_end(tmp_path):
    into, back = through(tmp_path, HEAD, ["shield", "head"])
    assert "undo manifold/nuts" not in into
    assert "torque head/bolts" in back


def test_the_job_tells_that_the_rider_is_off_with_what_carries_it(tmp_path):
    file = tmp_path / "machine.yaml"
    file.write_text(HEAD, encoding="utf-8")
    machine = machine_of(HEAD)
    plan = plan_teardown(machine, own_targets(machine, [("off", "head")]))
    with Desk(begin(tmp_path / "job", plan, copied(file), ANN, title="Job"), ANN) as desk:
        assert where(desk.moment(), "manifold")[-1].state == "fitted"
        desk.done([step.operation.name for step in desk.plan().steps])
        assert where(desk.moment(), "manifold")[-1].state == "off, on head"
        desk.turn()
        desk.done("fit head")
        assert where(desk.moment(), "manifold")[-1].state == "fitted"
