"""Conversions against pint, and against the factors that NIST SP 811 prints."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.quantities import TORQUE_UNITS, parse_torque
from sequencer.torque.show import show_both, show_torque

# NIST Special Publication 811 (2008), appendix B.8, as printed, to seven figures (from memory).
SP_811 = {
    "lbf.ft": 1.355818,
    "lbf.in": 0.1129848,
    "ozf.in": 7.061552e-3,
    "kgf.m": 9.80665,
}

PINT = {
    "N.m": "newton * meter",
    "lbf.ft": "force_pound * foot",
    "lbf.in": "force_pound * inch",
    "ozf.in": "force_ounce * inch",
    "kgf.m": "force_kilogram * meter",
    "kgf.cm": "force_kilogram * centimeter",
}


@pytest.mark.parametrize(("unit", "factor"), SP_811.items())
def test_factors_are_those_that_nist_prints(unit, factor):
    assert float(TORQUE_UNITS[unit]) == pytest.approx(factor, rel=5e-7)


@pytest.fixture(scope="module")
def registry():
    import pint

    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", PINT)
def test_conversions_agree_with_pint(registry, unit):
    for other, name in PINT.items():
        ours = float(parse_torque(f"89 {unit}").in_unit(other))
        theirs = registry.Quantity(89.0, PINT[unit]).to(name).magnitude
        assert ours == pytest.approx(theirs, rel=1e-12)


@given(
    st.decimals("0.01", "9999", places=2),
    st.sampled_from(list(TORQUE_UNITS)),
    st.sampled_from(list(TORQUE_UNITS)),
)
def test_a_conversion_there_and_back_is_exact(value, unit, other):
    torque = parse_torque(f"{value} {unit}")
    assert torque.in_unit(other) * TORQUE_UNITS[other] / TORQUE_UNITS[unit] == torque.value


@given(st.decimals("1", "999", places=2), st.sampled_from(list(TORQUE_UNITS)))
def test_a_shown_torque_reads_back_within_what_a_wrench_can_be_set_to(value, unit):
    torque = parse_torque(f"{value} N.m")
    shown = parse_torque(show_torque(torque.newton_metres, unit))
    if torque.in_unit(unit) >= 1:
        assert float(shown.newton_metres) == pytest.approx(float(torque.newton_metres), rel=0.051)
    assert shown.unit == unit


def test_a_torque_is_shown_as_asked_for_and_beside_it_as_written():
    torque = parse_torque("89 in-lb")
    assert show_both(torque, "N.m") == "10.06 N.m (89 lbf.in)"
    assert show_both(torque) == "89 lbf.in (10.1 N.m)"
    assert show_both(torque, "lbf.in") == "89 lbf.in"
    assert show_both(parse_torque("100 N.m")) == "100 N.m (74 lbf.ft)"


@pytest.mark.parametrize(
    ("written", "unit", "shown"),
    [
        # NIST SP 811: 1 lbf.in is 0.1129848 N.m, 1 kgf.m 9.80665 N.m, 1 lbf.ft 1.355818 N.m.
        ("106 in-lb", "N.m", "11.98 N.m (106 lbf.in)"),
        ("10.3 N.m", "kgf.m", "1.050 kgf.m (10.3 N.m)"),
        ("100 N.m", "lbf.ft", "73.76 lbf.ft (100 N.m)"),
        ("250 N.m", "lbf.in", "2213 lbf.in (250 N.m)"),
        ("0.5 N.m", "kgf.m", "0.05099 kgf.m (0.5 N.m)"),
    ],
)
def test_a_conversion_that_is_asked_for_has_four_figures(written, unit, shown):
    assert show_both(parse_torque(written), unit) == shown
