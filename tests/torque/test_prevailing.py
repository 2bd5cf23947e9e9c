"""Nuts that drag before they clamp: what the wrench is set to, what of a reading has clamped."""

from fractions import Fraction

import pytest

from sequencer.machine.reading import read_text
from sequencer.quantities import find_prevailing, parse_stage, parse_torque
from sequencer.torque.tightening.bolt_order import bolt_order
from sequencer.torque.tightening.passes import tightening_passes
from sequencer.torque.tightening.prevailing import raised, without


@pytest.mark.parametrize(
    ("stages", "drag", "set_to"),
    [
        (["25 N.m"], "3 N.m", ["28 N.m"]),
        (["20 N.m", "40 N.m", "90 deg"], "2.5 N.m", ["22.5 N.m", "42.5 N.m", "90 deg"]),
        (["20 N.m"], "27 in-lb", ["23 N.m"]),  # 27 × 0.1129848 = 3.0506: 23.05, in steps of a half
        (["18 ft-lb"], "3 N.m", ["20 lbf.ft"]),  # 3 / 1.3558179 = 2.2127: 20.21, in steps of a half
    ],
)
def test_each_torque_is_raised_in_its_own_unit_and_no_angle(stages, drag, set_to):
    found = raised([parse_stage(stage) for stage in stages], parse_torque(drag))
    assert [stage.text for stage in found] == set_to
    assert [parse_stage(stage.text) for stage in found] == list(found)


def test_what_drags_has_not_clamped():
    assert without(parse_torque("28 N.m"), parse_torque("3 N.m")).newton_metres == 25
    assert without(parse_torque("3 N.m"), parse_torque("3 N.m")) is None
    assert without(parse_torque("3 N.m"), None).text == "3 N.m"


def test_parts_of_a_torque_have_all_of_the_drag():
    found = tightening_passes(
        raised([parse_torque("50 N.m")], parse_torque("4 N.m")), bolt_order(8), parse_torque("4 N.m")
    )
    parts = [one.newton_metres for one in found if one.newton_metres]
    assert parts == [4 + Fraction(share, 10) * 50 for share in (3, 6, 10, 10)]


@pytest.mark.parametrize(
    ("text", "found", "rest"),
    [
        ("25 N.m + 3 N.m prevailing, manual", "3 N.m", "25 N.m, manual"),
        ("25 N.m with a 3 N.m prevailing", "3 N.m", "25 N.m with a"),
        ("25 N.m, prevailing torque of 27 in-lb", "27 in-lb", "25 N.m"),
        ("25 N.m prevailing 3 N.m", "3 N.m", "25 N.m"),
        ("25 N.m, no prevailing torque", None, "25 N.m, no prevailing torque"),
    ],
)
def test_it_is_found_in_running_text_with_what_ties_it_to_the_torque(text, found, rest):
    said = find_prevailing(text)
    torque, start, end = said or (None, len(text), len(text))
    assert (torque and torque.text, text[:start] + text[end:]) == (found, rest)


SIDES = """
machine: Two hubs, invented
repeat:
  side: {left: {drag: 3 N.m}, right: {drag: DRAG}}
parts:
  hub-<side>:
    joints:
      nut:
        kind: nut
        head: 24
        count: 4
        torque: {value: 25 N.m, prevailing: <side.drag>}
        varies: {count: [5], chance: 1 in 3}
"""


def test_each_of_several_sides_has_its_own_drag_also_where_real_ones_vary():
    machine = read_text(SIDES.replace("DRAG", "5 N.m"), "hubs.yaml").machine
    torques = [machine.joint(f"hub-{side}", "nut").torque for side in ("left", "right")]
    assert [torque.prevailing.text for torque in torques] == ["3 N.m", "5 N.m"]
    assert [torque.stages[0].text for torque in torques] == ["28 N.m", "30 N.m"]


def test_a_drag_of_one_side_that_is_wrong_is_told_with_the_side():
    (fault,) = read_text(SIDES.replace("DRAG", "5"), "hubs.yaml").faults
    assert str(fault).startswith("hubs.yaml:12:45:")
    assert "side right" in str(fault)
    assert "no unit" in str(fault)
