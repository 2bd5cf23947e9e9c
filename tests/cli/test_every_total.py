"""Wherever the time of a whole job stands, its range stands with it."""

import re

import pytest

from tests.support.profile import before_landing

PUMP = "examples/bench-pump.yaml"
RANGE = re.compile(r"about [^(,;]{3,16} \([^)]* to [^)]*, 8 times in 10\)")


@before_landing
@pytest.mark.parametrize(
    "asked",
    [
        ("plan",),
        ("plan", "--people", "2"),
        ("plan", "--sitting", "40min"),
        ("refit",),
        ("blockers",),
        ("blockers", "--without", "bracket"),
        ("extras",),
        ("export", "--format", "md"),
    ],
    ids=" ".join,
)
def test_the_time_of_a_job_is_a_range_at_every_door(sequencer, asked):
    command, *more = asked
    said = sequencer(command, PUMP, "--off", "seal", *more)
    words = " ".join(said.out.split()).casefold()
    assert RANGE.search(words)
    bare = [
        at
        for at in re.finditer(r"\b(in all|takes) (\d[^ ]* (s|min|h)\b)", words)
        if "by the file" not in words[: at.end()]
    ]
    assert bare == []
    assert not re.search(r"\d (s|min|h)\b( \d+ min)?, proven", words)


@before_landing
def test_a_job_in_sittings_says_them_as_it_begins(sequencer, tmp_path):
    """A number alone is minutes, as everywhere."""
    said = sequencer("new", str(tmp_path / "job"), "--machine", PUMP, "--off", "seal", "--sitting", "40")
    words = " ".join(said.out.split())
    assert "2 sittings of at most 40 min, 8 times in 10 in time" in words
    assert "All sittings about " in words
