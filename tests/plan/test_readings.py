"""Readings against what a joint asks for.

Figures by hand: 5 % of 40 N.m is 2 N.m; 1 lbf.ft is 1.3558179 N.m (NIST SP 811, appendix B.8).
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from sequencer.errors import SequencerError
from sequencer.machine.model import Joint, Place, Torque
from sequencer.plan.closing.readings import asked_of, judge
from sequencer.quantities import parse_stage

PLACE = Place("file", 1, 1)


def joint(*stages, tolerance=None):
    torque = Torque(tuple(parse_stage(stage) for stage in stages), PLACE) if stages else None
    return Joint("b", "p", "bolt", "s", "here", Fraction(10), PLACE, torque=torque, tolerance=tolerance)


@pytest.mark.parametrize(
    ("read", "closes"),
    [
        ("38 N.m", True),
        ("42 N.m", True),
        ("37.9 N.m", False),
        ("42.1 N.m", False),
        ("29.5 lbf.ft", True),  # 39.997 N.m
        ("31 lbf.ft", False),  # 42.03 N.m
        (None, False),
    ],
)
def test_five_per_cent_either_way_closes_a_gate(read, closes):
    assert judge(joint("40 N.m"), read).closes is closes


def test_the_file_may_ask_for_more_or_less():
    assert judge(joint("40 N.m", tolerance=Fraction(1, 100)), "40.5 N.m").problem
    assert judge(joint("40 N.m", tolerance=Fraction(1, 10)), "36.1 N.m").closes
    assert asked_of(joint("40 N.m", tolerance=Fraction(1, 10))).tolerance_from == "file"


def test_the_last_torque_counts_and_the_angle_after_it_is_confirmed():
    stages = joint("20 N.m", "40 N.m", "90 deg", "90 deg")
    assert asked_of(stages).text == "40 N.m + 180 deg"
    assert "not confirmed" in judge(stages, "40 N.m").problem
    assert judge(stages, "40 N.m", "180 deg").closes
    assert judge(stages, "40 N.m", "yes").closes
    assert "is not what is asked" in judge(stages, "40 N.m", "90 deg").problem
    assert judge(stages, "20 N.m", "180 deg").problem


def test_a_joint_without_a_torque_is_no_gate():
    assert asked_of(joint()) is None
    with pytest.raises(SequencerError, match="has no torque"):
        judge(joint(), "40 N.m")


def test_a_reading_without_a_unit_is_refused():
    with pytest.raises(SequencerError, match="has no unit"):
        judge(joint("40 N.m"), "40")


def test_a_joint_with_angle_alone_needs_no_torque():
    alone = replace(joint("90 deg"))
    assert judge(alone, None, "90 deg").closes
