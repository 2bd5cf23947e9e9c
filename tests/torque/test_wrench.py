import math
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.quantities import parse_torque
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.wrenches.wrench import (
    Adapter,
    Wrench,
    adapter_setting,
    calibration,
    choose_wrench,
    wrench_setting,
)

TODAY = date(2024, 6, 1)


def wrench(name, low, high, **more):
    words = {"calibrated": date(2024, 3, 1), "drive": "3/8 in", "length_mm": Fraction(400), **more}
    return Wrench(name, parse_torque(low), parse_torque(high), **words)


SMALL = wrench("small", "2 N.m", "24 N.m", graduation=Fraction(1, 10))
MIDDLE = wrench("middle", "20 N.m", "100 N.m", graduation=Fraction(1, 2))
LONG = wrench(
    "long", "30 lbf.ft", "150 lbf.ft", graduation=Fraction(1), drive="1/2 in", length_mm=Fraction(500)
)
BOX = (SMALL, MIDDLE, LONG)


def test_an_adapter_of_two_inches_on_sixteen_takes_50_down_to_44():
    # Torque wrench M199 manual p. 7 (easymanua.ls): 50 lb·ft, L 16 in, E 2 in: 44.44 lb·ft.
    assert float(adapter_setting(Fraction(50), Fraction(16), Adapter(Fraction(2)))) == pytest.approx(
        44.44, abs=0.005
    )


def test_an_adapter_of_five_on_forty_takes_80_down_to_71_and_across_leaves_it():
    # agentcalc.com/torque-wrench-extension-calculator: 80 N·m, 40 cm, 5 cm: 71.1; at 90° 80.
    along = adapter_setting(Fraction(80), Fraction(40), Adapter(Fraction(5)))
    assert float(along) == pytest.approx(71.1, abs=0.05)
    assert adapter_setting(Fraction(80), Fraction(40), Adapter(Fraction(5), 90)) == 80


def test_an_adapter_turned_back_raises_the_setting():
    # physicsforums.com/threads/860812: reversed, the adapter's length is taken off.
    assert adapter_setting(Fraction(80), Fraction(40), Adapter(Fraction(5), 180)) == Fraction(80 * 40, 35)


def test_an_adapter_back_to_the_grip_is_refused():
    with pytest.raises(FastenerError, match="past the middle of the grip"):
        adapter_setting(Fraction(80), Fraction(40), Adapter(Fraction(40), 180))


@given(st.integers(1, 500), st.integers(200, 900), st.integers(1, 150), st.floats(0, 180))
def test_what_the_adapter_does_to_the_setting_gives_the_fastener_its_torque(torque, length, reach, degrees):
    setting = adapter_setting(Fraction(torque), Fraction(length), Adapter(Fraction(reach), degrees))
    # The same hand force on a longer lever: force = setting / L, torque = force · (L + E·cos θ).
    felt = float(setting) / length * (length + reach * math.cos(math.radians(degrees)))
    assert felt == pytest.approx(torque, rel=1e-6)


@pytest.mark.parametrize(
    ("torque", "name", "setting"),
    [
        ("10 N.m", "small", "10 N.m"),
        ("89 lbf.in", "small", "10.1 N.m"),
        ("30 N.m", "middle", "30 N.m"),
        ("130 N.m", "long", "96 lbf.ft"),
    ],
)
def test_the_wrench_that_serves_is_set_in_the_unit_on_its_scale(torque, name, setting):
    choice = choose_wrench(BOX, parse_torque(torque).newton_metres, TODAY)
    assert choice.served
    assert choice.setting.wrench.name == name
    assert choice.setting.scale_text == setting
    assert choice.message == f"{name}, set to {setting}"


def test_a_wrench_is_not_used_below_a_fifth_of_its_scale():
    # ISO 6789: lowest test point 20 % of the maximum. 150 lbf·ft: from 30 lbf·ft up.
    wide = wrench("wide", "5 N.m", "100 N.m")
    assert wide.usable_from_nm == 20
    assert (
        wrench_setting(wide, Fraction(19), TODAY) == "19 N.m is below the 20 to 100 N.m that wide is good for"
    )
    assert not isinstance(wrench_setting(wide, Fraction(20), TODAY), str)
    assert not isinstance(wrench_setting(wide, Fraction(100), TODAY), str)


def test_a_joint_that_no_wrench_serves_is_said_with_what_each_is_good_for():
    choice = choose_wrench(BOX, Fraction(400), TODAY)
    assert not choice.served
    assert "295 lbf.ft is above the 30 to 150 lbf.ft that long is good for" in choice.message
    assert choose_wrench((), Fraction(10), TODAY).message == "there is no torque wrench in the toolbox"


@given(st.integers(5, 2000).map(lambda tenths: Fraction(tenths, 10)))
def test_a_chosen_setting_lies_on_the_scale_and_within_half_a_mark_of_the_torque(torque):
    choice = choose_wrench(BOX, torque, TODAY)
    if choice.setting is None:
        assert torque < Fraction(24, 5) or torque > LONG.high.newton_metres
        return
    tool = choice.setting.wrench
    assert tool.usable_from_nm <= torque <= tool.high.newton_metres
    assert (choice.setting.scale_value / tool.graduation).denominator == 1
    half_a_mark = tool.graduation / 2 * tool.high.newton_metres / tool.high.value
    assert abs(choice.setting.torque_nm - torque) <= half_a_mark


def test_the_setting_with_an_adapter_has_to_be_on_the_scale_too():
    # 100 N·m is the middle wrench's full scale; with 100 mm along 400 mm it is set to 80, and 120 to 96.
    adapter = Adapter(Fraction(100))
    assert isinstance(wrench_setting(MIDDLE, Fraction(120), TODAY), str)
    setting = wrench_setting(MIDDLE, Fraction(120), TODAY, adapter)
    assert setting.scale_text == "96 N.m"
    assert setting.torque_nm == 120
    assert isinstance(wrench_setting(MIDDLE, Fraction(24), TODAY, adapter), str)


def test_an_adapter_across_needs_no_length_and_one_along_does():
    bare = wrench("bare", "20 N.m", "100 N.m", length_mm=None)
    assert wrench_setting(bare, Fraction(50), TODAY, Adapter(Fraction(50), 90)).scale_text == "50 N.m"
    assert "measure from grip to square drive" in wrench_setting(
        bare, Fraction(50), TODAY, Adapter(Fraction(50))
    )


def test_the_owners_accuracy_goes_before_that_of_the_standard():
    # ISO 6789 setting tools, type II class A: 4 % above 10 N·m, 6 % up to and including 10 N·m
    # (2003 wording, in a wrench's manual at manuzoid.com).
    assert SMALL.error_at(Fraction(10)) == Fraction(6, 100)
    assert SMALL.error_at(Fraction(101, 10)) == Fraction(4, 100)
    assert wrench("exact", "2 N.m", "24 N.m", accuracy=Fraction(3, 100)).error_at(Fraction(20)) == Fraction(
        3, 100
    )


@pytest.mark.parametrize(
    ("calibrated", "cycles", "overdue"),
    # ISO 6789: 12 months or 5000 cycles, whichever comes first (torquewcs.com.au).
    [
        (date(2023, 6, 2), 0, False),
        (date(2023, 6, 1), 0, True),
        (date(2024, 5, 1), 4999, False),
        (date(2024, 5, 1), 5000, True),
        (None, None, None),
        (None, 6000, True),
    ],
)
def test_calibration_is_due_after_a_year_or_five_thousand_cycles(calibrated, cycles, overdue):
    found = calibration(wrench("it", "2 N.m", "24 N.m", calibrated=calibrated, cycles=cycles), TODAY)
    assert found.overdue is overdue


def test_an_overdue_wrench_is_passed_over_where_another_serves_and_said_where_none_does():
    old = wrench(
        "old",
        "20 N.m",
        "110 N.m",
        calibrated=date(2020, 1, 1),
        graduation=Fraction(1),
        accuracy=Fraction(1, 100),
    )
    assert choose_wrench((old, MIDDLE), Fraction(50), TODAY).setting.wrench is MIDDLE
    alone = choose_wrench((old,), Fraction(50), TODAY)
    assert alone.setting.cautions == ("old is due for calibration: last done on 2020-01-01, 53 months ago",)


def test_a_wrench_whose_drive_has_the_socket_goes_first():
    other = wrench("half", "20 N.m", "100 N.m", graduation=Fraction(1, 2), drive="1/2 in")
    assert choose_wrench((MIDDLE, other), Fraction(50), TODAY, drives=["1/2 in"]).setting.wrench is other
    assert choose_wrench((MIDDLE, other), Fraction(50), TODAY, drives=["3/8 in"]).setting.wrench is MIDDLE


@pytest.mark.parametrize("degrees", [math.nan, math.inf, -math.inf, 1000])
def test_an_angle_that_is_none_is_refused(degrees):
    with pytest.raises(FastenerError, match="is no angle of an adapter; write 0 along"):
        Adapter(Fraction(50), degrees)


def test_a_wrench_too_short_for_the_adapter_is_passed_over():
    back = Adapter(Fraction(400), 180)  # as long as the small and the middle one
    assert choose_wrench((MIDDLE, LONG), Fraction(30), TODAY, adapter=back).setting.wrench is LONG
    alone = choose_wrench((MIDDLE,), Fraction(30), TODAY, adapter=back)
    assert alone.message == "middle: the adapter reaches back past the middle of the grip"


def test_a_mark_that_is_further_off_than_the_wrench_may_be_is_said():
    coarse = wrench("coarse", "10 N.m", "50 N.m", graduation=Fraction(10))
    assert wrench_setting(coarse, Fraction(17), TODAY).cautions == (
        "the nearest mark of coarse gives 20 N.m for 17 N.m: 18% off",
    )
    assert wrench_setting(coarse, Fraction(20), TODAY).cautions == ()


def test_a_calibration_in_time_to_come_is_not_believed():
    found = calibration(wrench("it", "2 N.m", "24 N.m", calibrated=date(2024, 6, 2)), TODAY)
    assert found.overdue is None
    assert "a day to come" in found.message
