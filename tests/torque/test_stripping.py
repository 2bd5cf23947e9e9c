import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.preload import REUSABLE_SHARE
from sequencer.torque.fasteners.strength import proof_load_n, strength_of
from sequencer.torque.fasteners.stripping import (
    greatest_pitch_diameter_mm,
    least_major_diameter_mm,
    material_of,
    strip_load_n,
    stripping,
    thread_shear_area_per_mm,
)
from sequencer.torque.fasteners.threads import parse_thread


def test_a_10_9_bolt_in_soft_aluminium_needs_the_published_engagement():
    # taylorfrancis.com/books/9781482273786/chapters/10.1201/9781482273786-99: M10x1.5 10.9, 69 600 N,
    # shear strength 130 MPa, major diameter 9.968, pitch diameter 9.206 mm: 21.6 mm.
    area = thread_shear_area_per_mm(9.968, 9.968 - 9.206, 1.5)
    assert 69_600 / (130 * area) == pytest.approx(21.6, abs=0.1)


@pytest.mark.parametrize(
    ("area", "minor", "pitch_diameter", "threads", "engagement"),
    # Minimum engagement at equal strength, sizes.com/tools/bolts_engagement.htm, with the limits of
    # classes 2A and 2B of ASME B1.1 as in the screw-thread-lib package, data/ASME.py.
    [(0.0318, 0.207, 0.2127, 20, 0.173), (0.1419, 0.434, 0.4435, 13, 0.36)],
)
def test_equal_strength_needs_the_engagement_of_the_handbook(
    area, minor, pitch_diameter, threads, engagement
):
    # Machinery's Handbook formula 1: twice the stress area must be sheared off the bolt.
    per_mm = thread_shear_area_per_mm(minor * 25.4, (pitch_diameter - minor) * 25.4, 25.4 / threads)
    assert 2 * area * 25.4**2 / per_mm / 25.4 == pytest.approx(engagement, abs=0.005)


@pytest.mark.parametrize(
    ("name", "major", "pitch_diameter"),
    # Least major diameter 6g, greatest pitch diameter 6H, in inches; ASME B1.13M in screw-thread-lib 0.0.6.
    [
        ("M8", 0.30551, 0.28929),
        ("M12", 0.46067, 0.43555),
        ("M20", 0.77256, 0.73228),
        ("M24", 0.92823, 0.87858),
    ],
)
def test_metric_limits_are_those_of_the_tolerance_tables(name, major, pitch_diameter):
    thread = parse_thread(name)
    assert least_major_diameter_mm(thread) == pytest.approx(major * 25.4, abs=0.012)
    assert greatest_pitch_diameter_mm(thread) == pytest.approx(pitch_diameter * 25.4, abs=0.012)


@pytest.mark.parametrize(
    ("name", "major", "pitch_diameter"),
    # Classes 2A and 2B in inches, ASME B1.1 as in screw-thread-lib 0.0.6.
    [
        ("1/4-20", 0.2408, 0.2224),
        ("1/4-28", 0.2425, 0.2311),
        ("1/2-13", 0.4876, 0.4565),
        ("1/2-20", 0.4906, 0.4731),
    ],
)
def test_unified_limits_are_met_closely_and_on_the_safe_side(name, major, pitch_diameter):
    thread = parse_thread(name)
    assert least_major_diameter_mm(thread) == pytest.approx(major * 25.4, abs=0.012)
    assert 0 <= greatest_pitch_diameter_mm(thread) - pitch_diameter * 25.4 < 0.045


@pytest.mark.parametrize(
    ("property_class", "low", "high"), [("8.8", 1.0, 1.5), ("10.9", 1.5, 2.0), ("12.9", 1.7, 2.2)]
)
@pytest.mark.parametrize("name", ["M6", "M8", "M10", "M12"])
def test_aluminium_comes_out_at_the_trades_one_and_a_half_to_two_diameters(name, property_class, low, high):
    # Rule from memory (1.5 to 2 D); 2 D for M8 10.9 in aluminium also at scribd.com/doc/183112520.
    thread = parse_thread(name)
    load = REUSABLE_SHARE * proof_load_n(thread, strength_of(property_class, thread))
    needed = stripping(thread, material_of("aluminium"), load).needed_mm
    assert low < needed / thread.diameter_mm < high


def test_steel_in_steel_holds_with_one_diameter():
    # formulafactory.tools thread-engagement: about 1 D at equal strength.
    thread = parse_thread("M8")
    load = REUSABLE_SHARE * proof_load_n(thread, strength_of("8.8", thread))
    assert not stripping(thread, material_of("steel"), load, 8.0).would_strip


def test_too_short_a_thread_would_strip_and_an_unknown_one_is_not_judged():
    thread = parse_thread("M8")
    short = stripping(thread, material_of("aluminium"), 16_000, 6.0)
    assert short.would_strip
    assert short.below_rule
    assert not stripping(thread, material_of("aluminium"), 16_000, 16.0).would_strip
    assert not stripping(thread, material_of("aluminium"), 16_000).would_strip


@given(st.sampled_from(["M5", "M8", "M8x1", "M16", "3/8 UNF"]), st.floats(1, 40), st.floats(1.01, 3))
def test_more_engagement_holds_more_and_more_load_needs_more(name, engaged, factor):
    thread = parse_thread(name)
    aluminium = material_of("aluminium")
    assert strip_load_n(thread, 130, engaged) < strip_load_n(thread, 130, factor * engaged)
    less, more = (stripping(thread, aluminium, load) for load in (1000, factor * 1000))
    assert less.needed_mm < more.needed_mm


def test_a_material_is_read_in_either_spelling_and_refused_with_the_known_ones():
    assert material_of("Aluminum") == material_of("aluminium")
    with pytest.raises(FastenerError, match="did you mean aluminium"):
        material_of("aluminuim")
