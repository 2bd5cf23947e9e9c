"""Planning from the present state: what is left, in the order that is known, and what is explained."""

from dataclasses import replace
from fractions import Fraction

import pytest

from sequencer.errors import SequencerError
from sequencer.graph import UnreachableError, derive, parse_targets
from sequencer.machine.model import Atom, Need, Place
from sequencer.machine.trade.relations import UNDO, barring
from sequencer.plan import plan_teardown
from sequencer.plan.onward.present import Present, too_late, why_not
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.resume import TooLateError, replan
from tests.plan.jobs import machine_of, names
from tests.support.page_example import PAGE
from tests.support.possible import possible_now
from tests.support.profile import counts
from tests.support.random_machines import random_machine

BOTH = ("bracket", "pulley")


@pytest.fixture
def machine():
    return machine_of(PAGE)


@pytest.fixture
def whole(machine):
    return derive(machine)


def done(whole, *steps):
    present = Present()
    for step in steps:
        present = present.after(whole, step)
    return present


def test_from_the_start_it_is_the_proven_plan(machine):
    targets = parse_targets(machine, BOTH)
    whole_plan = plan_teardown(machine, targets)
    resumed = replan(machine, targets, Present())
    assert resumed.plan.totals == whole_plan.totals
    assert resumed.plan.proven


def test_what_is_done_is_paid_no_more_and_the_way_starts_where_one_stands(machine, whole):
    targets = parse_targets(machine, BOTH)
    plan = plan_teardown(machine, targets)
    order = names(plan)
    for count in range(len(order) + 1):
        resumed = replan(machine, targets, done(whole, *order[:count]), order[count:])
        assert names(resumed.plan) == order[count:]
        spent = sum((s.seconds + s.change_seconds for s in plan.steps[:count]), Fraction(0))
        assert resumed.plan.totals.seconds == plan.totals.seconds - spent


def test_no_order_from_the_middle_is_cheaper_than_the_best_one_told():
    """What is left of a random job, put to the engine as a question of its own, is never done for less."""
    asked = 0
    for seed in range(counts(quick=12, landing=40, nightly=40)):
        text, told = random_machine(seed, 4)
        machine = machine_of(text)
        targets = parse_targets(
            machine, [w for v, w in told if v == "off"], [w for v, w in told if v != "off"]
        )
        try:
            order = names(plan_teardown(machine, targets))
        except UnreachableError:
            continue
        present = done(derive(machine), *order[: len(order) // 2])
        kept = replan(machine, targets, present, order[len(order) // 2 :], Fraction(0))
        free = replan(machine, targets, present)
        if free.plan.proven:
            asked += 1
            assert kept.plan.totals.seconds == free.plan.totals.seconds, seed
    assert asked > counts(quick=6, landing=20, nightly=20)


def blocked(machine, part, by):
    place = Place("found", 1, 1)
    old = machine.parts[part]
    new = replace(old, waits=old.and_for(Need((Atom(by),), place, barring(UNDO))))
    return replace(machine, parts={**machine.parts, part: new})


def test_a_new_relation_moves_as_little_as_it_must(machine, whole):
    targets = parse_targets(machine, BOTH)
    order = names(plan_teardown(machine, targets))
    found = blocked(machine, "bracket", "pulley")
    resumed = replan(found, targets, Present(), order)
    after = names(resumed.plan)
    assert after.index("remove pulley") < after.index("undo bracket/near")
    assert set(resumed.difference.moved) < set(order)
    stays = [name for name in order if name not in resumed.difference.moved]
    assert [name for name in after if name in stays] == stays


def test_another_order_is_taken_only_where_it_saves_more_than_asked(machine):
    targets = parse_targets(machine, BOTH)
    order = names(plan_teardown(machine, targets))
    graph = plan_teardown(machine, targets).graph
    clumsy = near_former_order(graph, order, sorted(order), Present().changes(machine))
    assert clumsy is not None
    free = replan(machine, targets, Present(), clumsy, Fraction(0))
    assert free.difference.reshuffled
    assert free.difference.saving > 0
    kept = replan(machine, targets, Present(), clumsy, free.difference.saving)
    assert not kept.difference.reshuffled
    assert names(kept.plan) == list(clumsy)
    assert free.plan.totals.seconds == kept.plan.totals.seconds - free.difference.saving


def test_what_is_not_needed_any_more_is_left_out(machine):
    order = names(plan_teardown(machine, parse_targets(machine, BOTH)))
    resumed = replan(machine, parse_targets(machine, ["pulley"]), Present(), order)
    assert resumed.difference.dropped
    assert not [name for name in names(resumed.plan) if "bracket" in name]


def test_a_joint_undone_outright_needs_no_slackening(whole, machine):
    present = done(whole, "task isolate", "undo motor/feet")
    assert "loosen motor" in possible_now(whole, present)
    assert "slacken motor/feet" not in possible_now(whole, present)
    assert "is done already" in str(why_not(whole, present, "slacken motor/feet")[0])


def test_a_holder_is_not_touched_before_the_joint_that_needs_it_is_cracked(whole):
    present = done(whole, "task isolate", "undo guard/screws", "remove guard")
    ahead = ["crack pulley/bolts", "undo pulley/bolts"]
    assert "undo belt/tension" not in possible_now(whole, present, ahead)
    (reason,) = why_not(whole, present, "undo belt/tension", ahead)
    assert "cracked first, while belt holds it" in reason.text
    assert reason.place.line > 1
    assert why_not(whole, present, "undo belt/tension") == ()  # where nobody wants the pulley off


def test_what_comes_too_late_is_explained_with_the_way_out(machine, whole):
    present = done(whole, "task isolate", "undo guard/screws", "remove guard", "undo belt/tension")
    assert "crack pulley/bolts" in too_late(whole, set(present.done))
    targets = parse_targets(machine, ["pulley"])
    with pytest.raises(TooLateError) as said:
        replan(machine, targets, present)
    assert "crack pulley/bolts" in str(said.value)
    assert "skip" in said.value.remedy
    waived = replace(present, skipped={"crack pulley/bolts": "held with a strap"})
    assert names(replan(machine, targets, waived).plan)[-1] == "remove pulley"


def test_a_target_that_can_not_be_reached_is_told_beside_the_plan_for_the_others(machine, whole):
    present = done(whole, "task isolate", "undo guard/screws", "remove guard", "undo belt/tension")
    targets = parse_targets(machine, ["pulley", "bracket"])
    resumed = replan(machine, targets, present, go_on=True)
    assert [str(target) for target, _ in resumed.stuck] == ["pulley off"]
    assert all(isinstance(fault, SequencerError) for _, fault in resumed.stuck)
    assert "remove bracket" in names(resumed.plan)


CHAIN = """
machine: Three in a row, invented
parts:
  guard: {joints: {screw: {kind: screw, head: T25}}}
  hub: {joints: {nut: {kind: nut, head: 30, crack: {while: [guard]}}}}
  shaft: {joints: {bolt: {kind: bolt, head: 13, crack: {while: [hub]}}}}
"""


def test_what_comes_too_late_is_named_where_granting_it_makes_another_late():
    machine = machine_of(CHAIN)
    present = done(derive(machine), "undo guard/screw")
    with pytest.raises(TooLateError, match="crack hub/nut"):
        replan(machine, parse_targets(machine, ["hub", "shaft"]), present)
