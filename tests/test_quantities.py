"""Quantities as people write them, held against pint and the printed factors of NIST SP 811."""

from fractions import Fraction

import pint
import pytest

from sequencer.quantities import (
    TORQUE_UNITS,
    AngleQuantity,
    QuantityError,
    parse_angle,
    parse_kilograms,
    parse_litres,
    parse_millimetres,
    parse_seconds,
    parse_stage,
    parse_torque,
    wrench_round,
)

PINT = {
    "N.m": "newton*meter",
    "cN.m": "centinewton*meter",
    "daN.m": "decanewton*meter",
    "lbf.ft": "force_pound*foot",
    "lbf.in": "force_pound*inch",
    "ozf.in": "force_ounce*inch",
    "kgf.m": "force_kilogram*meter",
    "kgf.cm": "force_kilogram*centimeter",
}


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", TORQUE_UNITS)
def test_factors_of_torque_are_those_of_pint(registry, unit):
    assert float(TORQUE_UNITS[unit]) == pytest.approx(
        registry(PINT[unit]).to("newton*meter").magnitude, rel=1e-12
    )


def test_factors_of_torque_are_those_that_nist_prints():
    # NIST SP 811 (2008), appendix B.8, to seven figures (from memory)
    assert float(TORQUE_UNITS["lbf.ft"]) == pytest.approx(1.355818, rel=1e-6)
    assert float(TORQUE_UNITS["lbf.in"]) == pytest.approx(0.1129848, rel=1e-6)
    assert float(TORQUE_UNITS["kgf.m"]) == 9.80665


@pytest.mark.parametrize(
    ("parse", "text", "unit", "base"),
    [
        (parse_kilograms, "7 lb", "pound", "kilogram"),
        (parse_kilograms, "7 oz", "ounce", "kilogram"),
        (parse_kilograms, "7 g", "gram", "kilogram"),
        (parse_kilograms, "7 t", "metric_ton", "kilogram"),
        (parse_litres, "7 qt", "quart", "liter"),
        (parse_litres, "7 gal", "gallon", "liter"),
        (parse_litres, "7 pt", "pint", "liter"),
        (parse_litres, "7 fl oz", "fluid_ounce", "liter"),
        (parse_litres, "7 imp gal", "imperial_gallon", "liter"),
        (parse_litres, "7 UK pt", "imperial_pint", "liter"),
        (parse_litres, "7 cm3", "centimeter**3", "liter"),
        (parse_litres, "7 ml", "milliliter", "liter"),
        (parse_millimetres, "7 in", "inch", "millimeter"),
        (parse_millimetres, "7 ft", "foot", "millimeter"),
        (parse_seconds, "7 h", "hour", "second"),
        (parse_seconds, "7 days", "day", "second"),
        (parse_angle, "7 turns", "turn", "degree"),
    ],
)
def test_other_factors_are_those_of_pint(registry, parse, text, unit, base):
    assert float(parse(text)) == pytest.approx((7 * registry(unit)).to(base).magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        *[
            (f"47{text}", "N.m")
            for text in (" N.m", "Nm", " N·m", " N*m", " N m", " nm", " N⋅m", " newton metres")
        ],
        *[
            (f"47 {text}", "lbf.ft")
            for text in ("lbf.ft", "ft-lb", "ft lbs", "lb-ft", "lbf·ft", "FT-LBS", "foot-pounds")
        ],
        *[(f"47 {text}", "lbf.in") for text in ("lbf·in", "in-lb", "in lbs", "lbf.in", "inch-pounds")],
        *[(f"47 {text}", "kgf.m") for text in ("kgf.m", "kg-m", "kgm", "mkg")],
        ("47 kgf.cm", "kgf.cm"),
        ("47 cNm", "cN.m"),
        ("47 daN.m", "daN.m"),
        ("47 oz-in", "ozf.in"),
    ],
)
def test_a_torque_may_be_spelt_as_the_trade_spells_it(text, unit):
    torque = parse_torque(text)
    assert (torque.unit, torque.value, torque.text) == (unit, 47, text)
    assert torque.newton_metres == 47 * TORQUE_UNITS[unit]


@pytest.mark.parametrize(
    ("text", "value"),
    [("4.5 N.m", "9/2"), (".5 N.m", "1/2"), ("1/2 N.m", "1/2"), ("1 1/2 N.m", "3/2"), ("1-1/2 N.m", "3/2")],
)
def test_numbers_may_be_decimals_or_fractions(text, value):
    assert parse_torque(text).value == Fraction(value)


@pytest.mark.parametrize(
    ("text", "degrees"), [("90 deg", 90), ("90°", 90), ("90 degrees", 90), ("1/4 turn", 90)]
)
def test_a_stage_may_be_an_angle(text, degrees):
    assert parse_stage(text) == AngleQuantity(Fraction(degrees), text)
    assert parse_stage("20 N.m") == parse_torque("20 N.m")


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("90", 90),
        ("90 s", 90),
        ("1.5 min", 90),
        ("1 h 30 min", 5400),
        ("1h30min", 5400),
        ("1/3 min", 20),
        ("2 hours", 7200),
        ("0", 0),
        ("1/7", Fraction(1, 7)),
    ],
)
def test_a_time_is_exact_and_a_number_alone_is_in_seconds(text, seconds):
    assert parse_seconds(text) == seconds


def test_terms_add_up():
    assert parse_kilograms("2 lb 3 oz") == parse_kilograms("35 oz")
    assert parse_millimetres("1 ft 6 in") == parse_millimetres("18 in")


@pytest.mark.parametrize(
    ("parse", "text", "said"),
    [
        (
            parse_torque,
            "35 psi",
            "35 psi is a pressure; a torque is wanted; write it like 47 N.m or 35 lbf.ft",
        ),
        (
            parse_torque,
            "47",
            "47 has no unit; a torque needs one; write 47 N.m or 47 lbf.ft, whichever is meant",
        ),
        (parse_torque, "47 kg", "47 kg is a weight; a torque is wanted; write it like 47 N.m or 35 lbf.ft"),
        (parse_torque, "47 J", "47 J is an energy; a torque is wanted; write it like 47 N.m or 35 lbf.ft"),
        (parse_torque, "2 mN", "2 mN is a force; a torque is wanted; write it like 47 N.m or 35 lbf.ft"),
        (
            parse_torque,
            "5 furlong",
            "5 furlong is a length; a torque is wanted; write it like 47 N.m or 35 lbf.ft",
        ),
        (parse_torque, "5 zorp", "'zorp' is not a unit of torque; write it like 47 N.m or 35 lbf.ft"),
        (parse_torque, "35 ft/lbs", "35 ft/lbs divides one by the other; write 35 ft-lbs"),
        (
            parse_torque,
            "20-25 N.m",
            "20-25 N.m is a range; one torque is wanted; write the one that you would use",
        ),
        (parse_torque, "20 N.m to 25 N.m", "20 N.m to 25 N.m is a range; one torque is wanted; "),
        (parse_torque, "3,5 N.m", "'3,5 N.m' has a comma; write 3.5 with a point"),
        (parse_torque, "1,500 N.m", "'1,500 N.m' has a comma; write 1500 or 1.500 with a point"),
        (parse_torque, "-5 N.m", "-5 N.m is less than nothing; leave the minus out, or write it like 47 N.m"),
        (parse_torque, "−5 N.m", "-5 N.m is less than nothing; "),
        (parse_torque, "0 N.m", "0 N.m tightens nothing; leave the torque out, or write the right one"),
        (
            parse_torque,
            "20 N.m + 90 deg",
            "'20 N.m + 90 deg' is more than one torque; write stages: [20 N.m, 90 deg]",
        ),
        (parse_torque, "", "a torque is missing; write it like 47 N.m or 35 lbf.ft"),
        (parse_torque, "tight", "'tight' is not a torque; write it like 47 N.m or 35 lbf.ft"),
        (parse_torque, "1/0 N.m", "'1/0 N.m' is not a torque; "),
        (parse_torque, "9" * 5000 + " N.m", "'9999"),
        (parse_angle, "0 deg", "0 deg turns nothing; leave the angle out, or write the right one"),
        (parse_seconds, "12:30", "'12:30' is not a time; write it like 90 s, 5 min or 1 h 30 min"),
        (parse_seconds, "5 m", "5 m is a length; a time is wanted; write it like 90 s, 5 min or 1 h 30 min"),
        (parse_kilograms, "14", "14 has no unit; a weight needs one; write it like 14 kg, 800 g or 30 lb"),
        (parse_litres, "3 kg", "3 kg is a weight; a volume is wanted; write it like 1.2 L, 500 ml or 5 qt"),
        (parse_millimetres, "3 rad", "3 rad is an angle; a length is wanted; write it like 12 mm or 1/2 in"),
        (parse_angle, "3 rad", "'rad' is not a unit that is read here; write it like 90 deg"),
    ],
)
def test_what_can_not_be_read_is_refused_with_its_reason(parse, text, said):
    with pytest.raises(QuantityError) as caught:
        parse(text)
    assert str(caught.value).startswith(said)


def test_a_torque_is_shown_as_written_in_its_own_unit_and_rounded_in_another():
    assert parse_torque("47.3 Nm").shown_in() == parse_torque("47.3 Nm").shown_in("N.m") == "47.3 N.m"
    assert parse_torque("35 ft-lb").shown_in("N.m") == "47.5 N.m"  # 47.45
    assert parse_torque("10 N.m").shown_in("lbf.in") == "88.5 lbf.in"  # 88.51
    assert parse_torque("10 N.m").shown_in("lbf.ft") == "7.4 lbf.ft"  # 7.376
    assert parse_torque("150 N.m").shown_in("lbf.ft") == "111 lbf.ft"  # 110.6
    assert parse_torque("35 lbf.ft").in_unit("lbf.in") == 420


def test_rounding_for_a_wrench_is_never_far_off():
    for tenths in range(20, 5000, 7):
        value = Fraction(tenths, 10)
        assert abs(wrench_round(value) - value) <= value * Fraction(25, 1000), tenths


def test_every_accepted_spelling_is_one_unit_only():
    from sequencer.quantities import units

    words = [word for spelt in units._TORQUE_WORDS.values() for word in spelt.split()]
    assert len(words) == len(set(words))
    assert set(units._TORQUE_WORDS) == set(TORQUE_UNITS)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("20 ± 2 Nm", "write 20 Nm alone, and tolerance: 10 % beside it"),
        ("20 Nm ± 2 Nm", "write 20 Nm alone, and tolerance: 10 % beside it"),
        ("20±1 N.m", "write 20 N.m alone, and tolerance: 5 % beside it"),
        ("20 N.m +/- 5 %", "write 20 N.m alone, and tolerance: 5 % beside it"),
    ],
)
def test_a_figure_with_its_tolerance_says_where_that_goes(text, remedy):
    with pytest.raises(QuantityError) as caught:
        parse_torque(text)
    assert caught.value.remedy == remedy
