"""``plan --why``."""

import pytest

from tests.support.profile import before_landing

PUMP = ("plan", "examples/bench-pump.yaml", "--off", "seal")


@before_landing
def test_what_each_part_is_moved_for_is_said_where_asked(sequencer):
    assert "to free Shaft seal" in sequencer(*PUMP, "--why").out
    assert "to free" not in sequencer(*PUMP).out


@pytest.mark.parametrize("other", [("--people", "2"), ("--look-first",), ("--json",)])
def test_it_is_refused_where_it_would_not_be_said(sequencer, other):
    ran = sequencer(*PUMP, "--why", *other)
    assert (ran.code, ran.out) == (2, "")
    assert f"leave out --why, or {other[0]}" in ran.err
