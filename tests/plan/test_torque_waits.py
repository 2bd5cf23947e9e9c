"""Torques that wait until something is back: a wheel is torqued on the ground."""

import pytest

from sequencer.document.steps.cards import refit_cards
from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.plan.onward.missed import missed
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.job.through import through
from tests.machine.texts import faults
from tests.plan.jobs import names, there_and_back
from tests.plan.refit_by_force import least
from tests.support.checker import check_plan
from tests.support.plain_machine import load_machine
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.refit_checker import check_refit
from tests.support.refit_state import Aftermath

CART = """\
machine: Cart on stands, invented for this test
start: front
first: [isolate]
positions:
  front: {}
  raised: {needs: [raise]}
fluids:
  oil: {volume: 1 L, drain: {from: raised, time: 60 s}, fill: {time: 60 s}}
tasks:
  isolate: {time: 30 s, undo: {time: 20 s}}
  raise: {time: 2 min, undo: {time: 60 s}}
  lock: {after: [raise], from: raised, before: [hub], time: 10 s, undo: {time: 10 s}}
parts:
  wheel:
    from: raised
    joints:
      bolts: {kind: bolt, head: 19, time: 30 s, torque: {value: 110 N.m, when: [raise], from: front}}
  hub:
    from: raised
    behind: [wheel]
    wet: [oil]
    joints: {nut: {kind: nut, head: 30, time: 30 s, torque: 60 N.m}}
  tray: {joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
"""
OLD = "when: [raise], from: front"


def both(text, off="hub"):
    targets = [("off", off)]
    way_in, back = there_and_back(text, targets)
    told = teardown_json(way_in)
    assert check_plan(text, targets, told) == []
    assert check_refit(text, targets, told, refit_json(back)) == []
    return names(way_in), names(back), back


def before(order, *steps):
    places = [order.index(step) for step in steps]
    return places == sorted(places)


def test_a_wheel_gets_its_torque_on_the_ground():
    _, home, back = both(CART)
    assert before(home, "fasten wheel/bolts", "restore raise", "torque wheel/bolts", "restore isolate")
    (step,) = [step for step in back.steps if step.operation.name == "torque wheel/bolts"]
    assert step.operation.position == "front"


def test_what_it_waits_for_need_not_wait_for_it_and_nor_need_what_that_waits_for():
    """The hub's lock comes off before the cart is lowered, though the wheel would have needed it."""
    text = CART.replace("before: [hub]", "before: [wheel]")
    _, home, _ = both(text, "wheel")
    assert before(home, "fasten wheel/bolts", "restore lock", "restore raise", "torque wheel/bolts")


@before_landing
@pytest.mark.parametrize(
    ("when", "step"),
    [
        ("[tray]", "fit tray"),
        ("[tray/clip]", "fasten tray/clip"),
        ("[oil]", "fill oil"),
        ("[isolate]", "restore isolate"),
    ],
)
def test_each_kind_of_thing_can_be_waited_for(when, step):
    text = CART.replace("[raise], from: front", f"{when}, from: front").replace(
        "behind: [wheel]", "behind: [wheel, tray]"
    )
    _, home, _ = both(text)
    assert before(home, step, "torque wheel/bolts")


def test_what_the_job_does_not_touch_counts_as_back():
    text = CART.replace("[raise], from: front", "[tray, oil, raise]").replace(
        "from: raised\n    joints", "joints"
    )
    _, home, _ = both(text, "wheel")
    assert "fit tray" not in home
    assert "torque wheel/bolts" in home


def test_the_step_says_after_what_it_comes():
    _, _, back = both(CART)
    cards = refit_cards(back, None, None)
    gates = [line for station in cards for card in station.steps for line in card.gate]
    assert any(line.startswith("only now, after step ") and "raise" in line for line in gates)


@pytest.mark.parametrize(
    ("new", "line", "said"),
    [
        ("when: [rise], from: front", 17, "there is no part, fluid or task `rise`; did you mean `raise`?"),
        ("when: [raise], from: frnt", 17, "there is no position `frnt`; did you mean `front`?"),
        ("when: [tray/clop], from: front", 17, "`tray` has no joint `clop`; did you mean `clip`?"),
        ("when: [raise]", 17, "`wheel/bolts` gets its torque from `raised`, where nobody works once"),
    ],
)  # fmt: skip
def test_each_fault_is_said_at_its_line(new, line, said):
    found = faults(CART.replace(OLD, new))
    assert len(found) == 1
    assert found[0].startswith(f"{line}:")
    assert said in found[0]


def test_what_is_never_back_is_refused():
    (found,) = faults(CART.replace("undo: {time: 60 s}", "people: 1"))
    assert found.startswith("17:")
    assert "`raise` has no `undo`, so `wheel/bolts` would wait for ever" in found


@pytest.mark.parametrize("awaited", ["wheel", "wheel/bolts"])
def test_a_joint_behind_what_it_waits_for_is_refused(awaited):
    found = faults(CART.replace("torque: 60 N.m", f"torque: {{value: 60 N.m, when: [{awaited}]}}"))
    assert len(found) == 1
    assert f"`hub/nut` can't be reached once `{awaited}` is back: it is behind it (line 20)" in found[0]


def test_a_joint_that_is_out_of_reach_by_then_is_refused_with_its_line():
    """The tray goes on over the wheel, and is locked; the lock is undone once the tray is on."""
    text = CART.replace("wheel:\n", "wheel:\n    behind: [tray]\n").replace("before: [hub]", "before: [tray]")
    with pytest.raises(
        SequencerError, match=r"machine.yaml:18:.*raise is undone before wheel/bolts gets its"
    ):
        there_and_back(text, [("off", "wheel")])


def test_a_plug_can_t_wait():
    (found,) = faults(
        CART.replace("time: 60 s}, fill", "plug: {torque: {value: 20 N.m, when: [raise]}}}, fill")
    )
    assert "a plug gets its torque as it goes in" in found


@before_landing
def test_a_job_does_it_in_its_turn(tmp_path):
    _, home = through(tmp_path, CART, ["hub"])
    assert before(home, "restore raise", "torque wheel/bolts")


@before_landing
@pytest.mark.parametrize("first", range(0, counts(quick=0, landing=10, nightly=40), 10))
def test_small_machines_take_the_least_time_with_it(first):
    seen = 0
    for number in range(first, first + 10):
        text, targets = random_machine(number, 2 + number % 2, torques=True, waits=True)
        try:
            way_in, back = there_and_back(text, targets)
        except SequencerError:
            continue
        told = teardown_json(way_in)
        assert check_plan(text, targets, told) == []
        assert check_refit(text, targets, told, refit_json(back)) == [], number
        if len(back.steps) <= 8:
            after = Aftermath(load_machine(text), tuple(names(way_in)))
            times = {step.operation.name: step.seconds for step in back.steps}
            cost = least(after, times)
            assert cost is not None
            assert (cost[1], back.proven) == (back.totals.seconds, True), number
            seen += 1
    assert seen


def test_a_forgotten_one_is_mended_on_the_ground():
    """Nobody raises the cart again for the torque alone."""
    _, _, back = both(CART, "wheel")
    (gate,) = back.gates
    found = missed(back, gate, Limits())
    assert (found.parts, found.seconds) == ((), 30 + 10 + 8 + 20)
