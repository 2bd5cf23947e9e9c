"""Stopping at the terminal: what is offered in the wrong place, and what one answer comes to."""

import json

import pytest

from tests.cli.conftest import ROOT
from tests.support.profile import before_landing


@pytest.fixture
def job(sequencer, tmp_path, monkeypatch):
    pump = ROOT / "tests" / "machines" / "bench-pump.yaml"
    made = sequencer("new", tmp_path / "job", "--machine", pump, "--off", "impeller", "--people", "Ann")
    assert made.code == 0, made.err
    monkeypatch.setenv("SEQUENCER_JOB", str(tmp_path / "job"))
    sequencer("resume")
    sequencer("done", "1-2")
    return tmp_path


def stopped(sequencer):
    rows = json.loads(sequencer("log", "--json").out)["events"]
    return [row["body"] for row in rows if row["kind"] == "stopped"]


def test_without_a_terminal_it_stops_and_says_how_to_make_it_safe(sequencer, job):
    ran = sequencer("stop", "bus")
    assert ran.code == 0
    assert "Not a safe place to leave the machine" in ran.out
    assert "on to step 3 (Take off Belt guard)" in ran.out
    assert "- Fasten Belt guard: screws (6 × head T25)" in ran.out
    assert stopped(sequencer) == [{"why": "bus", "left": ["half_out_light guard"]}]
    after = sequencer("stop", "--made-safe", "back")
    assert "Safe to leave here." in after.out
    assert "   2  Undo Belt guard: screws" in sequencer("next").out


def test_data_has_the_ways_the_quickest_first(sequencer, job):
    ways = json.loads(sequencer("stop", "--json").out)["ways"]
    assert [(way["onward"], way["ops"]) for way in ways] == [
        (True, ["remove guard"]),
        (False, ["undo guard/screws"]),
    ]


@before_landing
@pytest.mark.parametrize(
    ("answer", "safe"),
    [("1\n", "on to step 3"), ("2\n", "put back: step 2, Undo Belt guard: screws"), ("\n", None)],
)
def test_at_a_terminal_one_answer_takes_a_way_and_none_is_asked_for(
    sequencer, job, monkeypatch, answer, safe
):
    import io
    import sys

    keys = io.StringIO(answer)
    keys.isatty = lambda: True
    monkeypatch.setattr(sys, "stdin", keys)
    ran = sequencer("stop")
    assert ran.code == 0
    assert stopped(sequencer)[-1].get("safe") == safe


@before_landing
def test_where_it_is_safe_nothing_is_offered(sequencer, job):
    sequencer("done", "3")
    assert "To make it safe" not in sequencer("stop").out
    refused = sequencer("stop", "--made-safe", "back")
    assert (refused.code, "stop without --made-safe" in refused.err) == (2, True)
