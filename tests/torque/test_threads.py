import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import is_pipe_thread, parse_thread
from sequencer.torque.torque_tables import table

# Nominal stress areas in mm² as printed beside the proof loads of ISO 898-1 at
# staging2.optimas.com/technical-resources/iso-metric-thread-proof-loads.
ISO_898_AREAS = {"M5": 14.2, "M6": 20.1, "M8": 36.6, "M10": 58.0, "M12": 84.3, "M14": 115, "M16": 157}

# Unified stress areas in in², formulafactory.tools/?p=4730 (UNC) and boltport.com/threads/unf (UNF).
UNIFIED_AREAS = {
    "1/4-20 UNC": 0.0318,
    "5/16-18 UNC": 0.0524,
    "3/8-16 UNC": 0.0775,
    "7/16-14 UNC": 0.1063,
    "1/2-13 UNC": 0.1419,
    "1/4-28 UNF": 0.0364,
    "5/16-24 UNF": 0.0580,
    "3/8-24 UNF": 0.0878,
    "7/16-20 UNF": 0.1187,
    "1/2-20 UNF": 0.1599,
}


@pytest.mark.parametrize(("name", "area"), ISO_898_AREAS.items())
def test_metric_stress_area_is_that_of_iso_898(name, area):
    assert parse_thread(name).stress_area_mm2 == pytest.approx(area, rel=0.004)


@pytest.mark.parametrize(("name", "area"), UNIFIED_AREAS.items())
def test_unified_stress_area_is_the_published_one(name, area):
    assert parse_thread(name).stress_area_mm2 / 25.4**2 == pytest.approx(area, abs=0.0001)


def test_three_quarter_fine_has_the_area_of_shigleys_example_8_3():
    # Shigley's Mechanical Engineering Design, example 8-3: At 0.373 in² for 3/4-16 UNF.
    assert parse_thread("3/4-16 UNF").stress_area_mm2 / 25.4**2 == pytest.approx(0.373, abs=0.0005)


@pytest.mark.parametrize(
    ("written", "name", "pitch"),
    [
        ("M8", "M8", 1.25),
        ("m8", "M8", 1.25),
        ("M 8", "M8", 1.25),
        ("M8x1.25", "M8", 1.25),
        ("M8 x 1.0", "M8x1", 1.0),
        ("M10×1.25", "M10x1.25", 1.25),
        ("M2.5", "M2.5", 0.45),
        ("1/4-20 UNC", "1/4-20 UNC", 1.27),
        ("1/4 UNC", "1/4-20 UNC", 1.27),
        ("1/4-20", "1/4-20 UNC", 1.27),
        ('1/4" - 20', "1/4-20 UNC", 1.27),
        ("3/8-24 unf", "3/8-24 UNF", 25.4 / 24),
        ("#10-32", "#10-32 UNF", 25.4 / 32),
        ("9/16-20 LH", "9/16-20 UN LH", 25.4 / 20),  # a bicycle's left pedal, ISO 6695
        ("1 3/8-24 UNS", "1 3/8-24 UNS", 25.4 / 24),  # its bottom bracket, ISO 6696
        ("10-32", "#10-32 UNF", 25.4 / 32),
        ("1-8 UNC", "1-8 UNC", 25.4 / 8),
        ("1-1/8 UNF", "1 1/8-12 UNF", 25.4 / 12),
    ],
)
def test_a_thread_is_read_as_people_write_it(written, name, pitch):
    thread = parse_thread(written)
    assert thread.name == name
    assert thread.pitch_mm == pytest.approx(pitch)


def test_number_ten_is_nineteen_hundredths_of_an_inch():
    # ASME B1.1: 0.060 in + 0.013 in for each number.
    assert parse_thread("#10-24").diameter_in == pytest.approx(0.190)


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("M8x1.5", "M8 has no pitch of 1.5 mm in ISO 261; it comes as M8 (pitch 1.25), M8x1, M8x0.75"),
        ("M13", "the nearest are M11, M12, M14"),
        ("G1/4", "'G1/4' is not a thread that I know; write M8,"),
        ("1/4", "does not say which thread series"),
        ("1/4-19", "1/4 comes as 1/4-20 UNC or 1/4-28 UNF"),
        ("1/4-28 UNC", "1/4 comes as 1/4-20 UNC or 1/4-28 UNF"),
        ("13/32-16", "the Unified series have no size 13/32"),
        ("", "is not a thread"),
    ],
)
def test_what_is_no_thread_is_refused_with_what_to_write(written, says):
    with pytest.raises(FastenerError) as caught:
        parse_thread(written)
    assert says in str(caught.value)


METRIC = [f"M{size}x{pitch:g}" for size, pitches in table("threads")["metric"].items() for pitch in pitches]
UNIFIED = [
    f"{size}-{count} {series.upper()}"
    for size, both in table("threads")["unified"].items()
    for series, count in both.items()
]


@given(st.sampled_from(METRIC + UNIFIED))
def test_every_thread_of_the_table_reads_back_from_its_own_name(written):
    thread = parse_thread(written)
    assert parse_thread(thread.name) == thread
    assert 0.5 < thread.stress_area_mm2 / (3.14159 / 4 * thread.diameter_mm**2) < 1


@given(st.sampled_from(list(table("threads")["metric"])))
def test_a_finer_pitch_leaves_more_area(size):
    areas = [parse_thread(f"M{size}x{pitch:g}").stress_area_mm2 for pitch in table("threads")["metric"][size]]
    assert areas == sorted(areas)


@pytest.mark.parametrize("text", ["M10 LH", "M10LH", "M10 left-hand", "M10, left hand", "M10 left"])
def test_a_left_hand_thread_is_as_strong_as_a_right_hand_one(text):
    found = parse_thread(text)
    assert (found.name, found.left) == ("M10 LH", True)
    assert found.stress_area_mm2 == parse_thread("M10").stress_area_mm2


@pytest.mark.parametrize(
    "text", ["G1/4", "G 1/4 A", "R 3/8", "Rc1/8", "1/8-27 NPT", "NPT 1/4", "1/2 BSP", "BSPT 3/4", "G 1 1/2"]
)
def test_pipe_threads_are_known_as_such(text):
    assert is_pipe_thread(text)


@pytest.mark.parametrize("text", ["M8", "1/4-20 UNC", "3/8 UNF", "#10-32", "grease", ""])
def test_screw_threads_are_no_pipe_threads(text):
    assert not is_pipe_thread(text)
