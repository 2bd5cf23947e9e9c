import pytest

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.strength import MPA_PER_KSI, proof_load_n, strength_of
from sequencer.torque.fasteners.threads import parse_thread
from sequencer.torque.torque_tables import table

# Proof loads of ISO 898-1 in kN, coarse threads, as printed at
# staging2.optimas.com/technical-resources/iso-metric-thread-proof-loads. They carry rounding:
# M6 8.8 most, by 0.62 %.
SIZES = ("M5", "M6", "M8", "M10", "M12", "M14", "M16")
ISO_898_PROOF_KN = {
    "4.6": (3.20, 4.52, 8.24, 13.0, 19.0, 25.9, 35.3),
    "5.8": (5.40, 7.64, 13.9, 22.0, 32.0, 43.7, 59.7),
    "8.8": (8.23, 11.6, 21.2, 33.7, 48.9, 66.7, 91.0),
    "10.9": (11.8, 16.7, 30.4, 48.1, 70.0, 95.5, 130),
    "12.9": (13.8, 19.5, 35.5, 56.3, 81.8, 112, 152),
}
PROOF_ROWS = [
    (name, size, load)
    for name, row in ISO_898_PROOF_KN.items()
    for size, load in zip(SIZES, row, strict=True)
]

# Least ultimate loads in kN, usefastener.com/knowledge/404 and slsbearings.com tensile-strength table.
ISO_898_ULTIMATE_KN = {
    "M6": (16.1, 20.9, 24.5),
    "M8": (29.2, 38.1, 44.6),
    "M10": (46.4, 60.3, 70.8),
    "M12": (67.4, 87.7, 103),
    "M16": (125, 163, 192),
}

# SAE J429 in ksi, proof, yield, tensile, as in Shigley & Mischke, 5th ed., p. 341
# (web.mst.edu/jthomas/classes/2211/lessons/fasteners/property_reference); china-bolts.com/sae-j429 agrees.
SAE_J429_KSI = [
    ("2", "1/4-20", (55, 57, 74)),
    ("2", "3/4-10", (55, 57, 74)),
    ("2", "7/8-9", (33, 36, 60)),
    ("5", "1/4-20", (85, 92, 120)),
    ("5", "1-8", (85, 92, 120)),
    ("5", "1 1/8-7", (74, 81, 105)),
    ("8", "1/4-28", (120, 130, 150)),
    ("8", "1 1/2-6", (120, 130, 150)),
]


@pytest.mark.parametrize(("name", "size", "load"), PROOF_ROWS)
def test_proof_load_is_that_of_iso_898(name, size, load):
    thread = parse_thread(size)
    assert proof_load_n(thread, strength_of(name, thread)) / 1000 == pytest.approx(load, rel=0.0065)


@pytest.mark.parametrize(("size", "loads"), ISO_898_ULTIMATE_KN.items())
def test_ultimate_load_is_that_of_iso_898(size, loads):
    thread = parse_thread(size)
    for name, load in zip(("8.8", "10.9", "12.9"), loads, strict=True):
        found = thread.stress_area_mm2 * strength_of(name, thread).tensile_mpa / 1000
        assert found == pytest.approx(load, rel=0.006)


@pytest.mark.parametrize(("grade", "size", "ksi"), SAE_J429_KSI)
def test_grades_are_those_of_sae_j429_with_their_diameter_splits(grade, size, ksi):
    strength = strength_of(grade, parse_thread(size))
    found = (strength.proof_mpa, strength.yield_mpa, strength.tensile_mpa)
    assert found == pytest.approx([stress * MPA_PER_KSI for stress in ksi])


def test_class_8_8_bears_more_above_sixteen_millimetres():
    # ISO 898-1 via bbshalmstad.se: 580 MPa up to M16, 600 above. Many calculators use 600 for all.
    assert strength_of("8.8", parse_thread("M16")).proof_mpa == 580
    assert strength_of("8.8", parse_thread("M18")).proof_mpa == 600


@pytest.mark.parametrize("written", ["8.8", "class 8.8", "Class 8.8", "ISO 898-1 8.8", "8,8"])
def test_a_class_is_read_as_people_write_it(written):
    assert strength_of(written, parse_thread("M8")).name == "8.8"


@pytest.mark.parametrize("written", ["5", "grade 5", "Gr. 5", "gr 5", "SAE 5", "SAE J429 grade 5"])
def test_a_grade_is_read_as_people_write_it(written):
    assert strength_of(written, parse_thread("3/8 UNC")).name == "grade 5"


@pytest.mark.parametrize(
    ("written", "thread", "says"),
    [
        (
            "8",
            "M8",
            "grade 8 is SAE J429, for inch threads, and M8 is metric; write the number on the bolt's head",
        ),
        ("8.8", "3/8 UNC", "class 8.8 is ISO 898-1, for metric threads"),
        (
            "C9-99",
            "M8",
            "'C9-99' is not a property class or grade that I know; write an ISO 898-1 class (4.6,",
        ),
        ("5", "#10-32", "SAE J429 covers 1/4 in to 1 1/2 in, not #10-32 UNF"),
        ("9.8", "M20", "ISO 898-1 has no class 9.8 above M16"),
    ],
)
def test_a_class_that_does_not_go_with_the_thread_is_refused(written, thread, says):
    with pytest.raises(FastenerError) as caught:
        strength_of(written, parse_thread(thread))
    assert says in str(caught.value)


@pytest.mark.parametrize("system", ["iso", "sae"])
def test_proof_lies_below_yield_and_yield_below_tensile_in_every_row(system):
    for bands in table("strength")[system].values():
        for band in bands:
            assert band["proof"] < band["yield"] < band["tensile"]


def test_stainless_bolts_are_as_strong_as_iso_3506_says():
    # ISO 3506-1, austenitic steels: tensile 500, 700, 800 MPa; 0.2 % at 210, 450, 600 MPa.
    found = [strength_of(written, parse_thread("M8")) for written in ("A2-50", "A2-70", "a4 80", "A4-80")]
    assert [(one.name, one.proof_mpa, one.tensile_mpa) for one in found] == [
        ("A2-50", 210, 500),
        ("A2-70", 450, 700),
        ("A4-80", 600, 800),
        ("A4-80", 600, 800),
    ]
    with pytest.raises(FastenerError, match="'A2-75' is no class of stainless bolts"):
        strength_of("A2-75", parse_thread("M8"))


def test_a_nut_class_stands_for_the_bolts_that_it_may_be_used_with():
    # ISO 898-2: 8 with 8.8, 10 with 10.9, 12 with 12.9; thin nuts 04 and 05 are tested at 380 and 500 MPa.
    m8 = parse_thread("M8")
    for nut, bolt in (("8", "8.8"), ("10", "10.9"), ("12", "12.9")):
        assert strength_of(nut, m8, nut=True).proof_mpa == strength_of(bolt, m8).proof_mpa
    assert [strength_of(nut, m8, nut=True).proof_mpa for nut in ("04", "05")] == [380, 500]
    assert strength_of("8.8", m8, nut=True).name == "8.8"
    with pytest.raises(FastenerError, match="of a nut, with kind: nut"):
        strength_of("8", m8)
