"""The commands for what the plan did not know, as a person runs them."""

import csv
import io
import json
import re

import pytest

from tests.cli.conftest import ROOT
from tests.support.profile import before_landing


@pytest.fixture
def job(sequencer, tmp_path, monkeypatch):
    monkeypatch.setenv("SEQUENCER_DEVICE", "phone")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    pump = tmp_path / "pump.yaml"
    pump.write_bytes((ROOT / "tests" / "machines" / "bench-pump.yaml").read_bytes())
    made = sequencer("new", tmp_path / "job", "--machine", pump, "--off", "impeller", "--people", "Ann")
    assert made.code == 0, made.err
    monkeypatch.setenv("SEQUENCER_JOB", str(tmp_path / "job"))
    return tmp_path


def test_found_says_in_three_lines_what_is_new_what_it_costs_and_what_moved(sequencer, job):
    ran = sequencer("found", "upper stay", "--blocks", "motor", "--held", "bolt 10 x2")
    assert ran.code == 0
    new, costs, moved = ran.out.splitlines()[:3]
    assert new == "New      18 Undo upper stay: bolts, 19 Take off upper stay."
    assert re.fullmatch(r"Costs    2 min more; about \d+ min \(.* times in 10\) left\.", costs)
    assert moved == "Moved    nothing; what was planned keeps its order."


def test_found_as_json_has_the_same(sequencer, job):
    told = json.loads(sequencer("found", "stay", "--blocks", "motor", "--held", "bolt 10", "--json").out)
    assert told["change"]["new"] == ["undo stay/bolt", "remove stay"]
    assert told["change"]["moved"] == []


@before_landing
@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("found",), "nothing says what was found"),
        (("found", "x", "--blocks", "motr"), "did you mean motor"),
        (("found", "x", "--blocks", "motor", "--reshuffle", "soon"), "soon"),
        (("trouble", "cover/blots", "seized"), "did you mean cover/bolts"),
        (("trouble", "cover/bolts", "lost"), "it can be seized"),
        (("trouble", "cover/bolts", "seized", "--count", "99"), "has 6 of them"),
        (("trouble", "cover/bolts", "seized", "--way", "prayer"), "there are penetrant"),
        (("also", "--off", "nothing"), "no part"),
        (("turn",), "nothing has been taken apart"),
        (("turn", "--apart"), "is being taken apart"),
        (("where", "zzz"), "nothing called"),
        (("learn", "--write", "7"), "no offer 7"),
        (("learn", "--into", "/nowhere.yaml"), "nowhere.yaml"),
    ],
)
def test_what_can_not_be_is_one_message_and_exit_code_2(sequencer, job, words, message):
    ran = sequencer(*words)
    assert ran.code == 2
    assert message in ran.err
    assert "Traceback" not in ran.err


@before_landing
def test_a_whole_job_with_trouble_goes_back_together_and_leaves_its_record(sequencer, job):
    assert sequencer("trouble", "cover/bolts", "seized").code == 0
    plan = json.loads(sequencer("next", "--json").out)["plan"]
    for step in plan["steps"]:
        assert sequencer("done", step["number"]).code == 0
    assert "torque gates" in sequencer("turn").out
    steps = json.loads(sequencer("next", "--json").out)["plan"]["steps"]
    for step in steps:
        ran = sequencer("done", step["number"])
        if ran.code == 2 and "the gate stays open" in ran.err:
            ran = sequencer("done", step["number"], "--anyway", "tried out in a test")
        assert ran.code == 0, ran.err
    rows = list(csv.DictReader(io.StringIO(sequencer("record", "--csv").out)))
    assert {row["state"] for row in rows} == {"overridden"}
    assert all("tried out" in row["why"] for row in rows)
    assert "Closed against the figure" in sequencer("record").out
    assert json.loads(sequencer("record", "--json").out)["open"] == 0


@before_landing
def test_learn_writes_back_into_the_file_that_the_job_came_from(sequencer, job):
    sequencer("found", "stay", "--blocks", "motor", "--held", "bolt 10")
    assert "Nothing was written" in sequencer("learn").out
    assert "  stay:" not in (job / "pump.yaml").read_text("utf-8")
    assert sequencer("learn", "--write", "all").code == 0
    assert "  stay:" in (job / "pump.yaml").read_text("utf-8")
    assert "Nothing new" in sequencer("learn").out


def test_a_plan_at_ones_own_pace_says_so(sequencer, job):
    pace = job / "pace.toml"
    pace.write_text("[kinds.bolt]\nfactor = 2\nsamples = 9\n", "utf-8")
    own = sequencer("plan", job / "pump.yaml", "--off", "impeller", "--pace", pace, "--json")
    usual = sequencer("plan", job / "pump.yaml", "--off", "impeller", "--json")
    assert "from your pace file: 1.8 times the usual time" in own.err
    seconds = [json.loads(ran.out)["totals"]["seconds"] for ran in (own, usual)]
    assert seconds[0] > seconds[1]
