"""Plans of machines that came apart once, held against every order that the format page allows for them."""

import random

import pytest

from sequencer.document.steps.cards import refit_cards
from sequencer.document.steps.not_known import YIELDED
from sequencer.graph import UnreachableError
from sequencer.plan import Prefer
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import names, teardown, there_and_back
from tests.plan.refit_by_force import least
from tests.support.checker import check_plan
from tests.support.plain_machine import load_machine
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit
from tests.support.refit_state import Aftermath
from tests.support.taken_apart import learned


def cases(numbers, size, **more):
    """Machines that came apart, the same written out, and targets."""
    for number in numbers:
        text, targets = random_machine(number, size, **more)
        found = learned(text, random.Random(number))
        if found is not None:
            yield number, *found, [("off", what) for _, what in targets]


@before_landing
@pytest.mark.parametrize("size", [2, 3])
def test_no_order_that_is_kept_takes_less(size):
    asked = 0
    for number, told, out, targets in cases(range(counts(quick=6, landing=24, nightly=400)), size):
        best = best_seconds(load_machine(out), targets)
        if best is None:
            with pytest.raises(UnreachableError):
                teardown(told, targets)
            continue
        plan = teardown(told, targets)
        assert check_plan(out, targets, teardown_json(plan)) == [], number
        if plan.proven:
            assert plan.totals.seconds == best, number
            asked += 1
    assert asked >= counts(quick=2, landing=12, nightly=100)


@before_landing
def test_what_is_kept_on_the_way_in_is_kept_reversed_on_the_way_back():
    asked = 0
    for number, told, out, targets in cases(range(counts(quick=6, landing=40, nightly=400)), 4, torques=True):
        try:
            way_in, way_back = there_and_back(told, targets)
        except UnreachableError:
            continue
        assert check_refit(out, targets, teardown_json(way_in), refit_json(way_back)) == [], number
        asked += 1
    assert asked >= counts(quick=2, landing=12, nightly=100)


@before_landing
def test_no_way_back_that_keeps_it_takes_less():
    asked = 0
    for number, told, out, targets in cases(
        range(counts(quick=12, landing=40, nightly=300)), 2, torques=True
    ):
        try:
            way_in, way_back = there_and_back(told, targets)
        except UnreachableError:
            continue
        if len(way_back.steps) <= 10:
            after = Aftermath(load_machine(out), tuple(names(way_in)))
            known = {step.operation.name: step.seconds for step in way_back.steps}
            assert (0, way_back.totals.seconds) == least(after, known, Prefer.TIME.value), number
            asked += 1
    assert asked >= counts(quick=4, landing=14, nightly=80)


FACE = """\
machine: Two halves
parts:
  half: {joints: {bolts: {kind: bolt, head: 13, torque: 20 N.m, face: seam}}}
  other: {joints: {bolts: {kind: bolt, head: 13, torque: 20 N.m, face: seam}}}
  lid: {joints: {bolts: {kind: bolt, head: 10, torque: 9 N.m}}}
taken_apart: {order: [lid, other, half]}
"""


def test_a_face_goes_before_an_order_that_is_only_kept_and_that_is_said():
    _, way_back = there_and_back(FACE, [("off", "half")], practice=Practice.ALL)
    assert names(way_back) == [
        "fit half", "fasten half/bolts", "fit other", "fasten other/bolts",
        "torque half/bolts", "torque other/bolts", "fit lid", "fasten lid/bolts", "torque lid/bolts",
    ]  # fmt: skip
    assert way_back.practice.dropped == ()
    assert way_back.yielded == ("torque half/bolts",)
    said = {step.operation: step.lines for station in refit_cards(way_back) for step in station.steps}
    assert [op for op, lines in said.items() if YIELDED in lines] == ["torque half/bolts"]


def test_a_face_gives_way_to_what_is_known():
    text = FACE.replace("half: {", "half: {behind: [other], ")
    _, way_back = there_and_back(text, [("off", "half")], practice=Practice.ALL)
    assert names(way_back).index("torque half/bolts") < names(way_back).index("fit other")
    assert way_back.yielded == ()
