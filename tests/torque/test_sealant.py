from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.sealant import sealant_of, within_window
from sequencer.torque.torque_tables import table


def test_the_files_times_go_before_the_tables():
    own = sealant_of("rtv", Fraction(420), Fraction(7200))
    assert (own.assemble_within, own.cure) == (420, 7200)
    assert (own.assemble_from, own.cure_from) == ("file", "file")
    half = sealant_of("rtv", cure=Fraction(7200))
    assert (half.assemble_within, half.assemble_from, half.cure_from) == (600, "default", "file")


def test_rtv_is_joined_before_it_skins_over():
    # silicone-solutions.co.uk, momentive-rtv102: skin after 15 to 30 min at 25 °C and 50 % humidity.
    assert sealant_of("RTV silicone").assemble_within < 15 * 60


@pytest.mark.parametrize("kind", list(table("sealants")))
def test_every_kind_has_times_a_caution_and_a_source(kind):
    found = sealant_of(kind)
    assert 0 < found.assemble_within < found.cure
    assert found.caution
    assert table("sealants")[kind]["source"]


def test_an_unknown_kind_needs_both_its_times():
    assert sealant_of("hemp and paste", Fraction(1800), Fraction(3600)).label == "hemp and paste"
    with pytest.raises(FastenerError, match="did you mean rtv"):
        sealant_of("rvt", Fraction(600))


def test_steps_that_fit_the_window_pass():
    found = within_window(sealant_of("rtv"), [("fit sump", Fraction(120)), ("first pass", Fraction(480))])
    assert found.fits
    assert found.seconds == 600
    assert found.problem == ""


def test_steps_that_do_not_fit_are_refused_with_the_longest_of_them():
    steps = [("fit sump", Fraction(120)), ("first pass", Fraction(481))]
    found = within_window(sealant_of("rtv"), steps)
    assert not found.fits
    assert found.too_long == "first pass"
    assert found.problem == (
        "RTV silicone must be together in 10 min, it takes 11 min: first pass alone takes 9 min"
    )
    assert found.remedy


@given(st.lists(st.tuples(st.text(min_size=1), st.fractions(0, 900)), max_size=8), st.integers(1, 3000))
def test_a_window_fits_exactly_where_the_sum_does(steps, limit):
    found = within_window(sealant_of("own", Fraction(limit), Fraction(3600)), steps)
    assert found.fits is (sum(seconds for _, seconds in steps) <= limit)
    assert found.fits or found.too_long in [name for name, _ in steps]
