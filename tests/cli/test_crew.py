"""``plan --people``: the schedule beside the plan, the picture, and what is refused."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.profile import before_landing

ROOT = Path(__file__).resolve().parents[2]
PUMP = ("tests/machines/bench-pump.yaml", "--off", "seal")


@before_landing
def test_two_people_get_a_schedule_each(sequencer):
    ran = sequencer("plan", *PUMP, "--people", 2)
    assert ran.code == 0
    assert "Shaft seal off: the way in, for 2 people" in ran.out
    assert "── A ──" in ran.out
    assert "── B ──" in ran.out


def test_one_person_gets_the_plan_as_ever(sequencer):
    assert sequencer("plan", *PUMP, "--people", 1).out == sequencer("plan", *PUMP).out


def test_the_json_keeps_the_plan_for_one_and_adds_the_schedule(sequencer):
    alone = json.loads(sequencer("plan", *PUMP, "--json").out)
    shared = json.loads(sequencer("plan", *PUMP, "--json", "--people", 2).out)
    schedule = shared.pop("schedule")
    assert shared == alone
    assert schedule["people"] == 2
    assert schedule["seconds"] < schedule["one_person_seconds"] == alone["totals"]["seconds"]


def test_the_chart_is_written_as_a_picture(sequencer, tmp_path):
    chart = tmp_path / "bars.svg"
    assert sequencer("plan", *PUMP, "--people", 2, "--draw", chart).code == 0
    assert chart.read_text("utf-8").startswith("<svg")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--draw", "bars.svg"), "--draw is for several people"),
        (("--handles", "2"), "--handles is for several people"),
        (("--people", "2", "--draw", "bars.png"), "end the name in .svg"),
    ],
)
def test_what_means_nothing_is_refused(sequencer, options, said):
    ran = sequencer("plan", *PUMP, *options)
    assert (ran.code, ran.out) == (2, "")
    assert said in ran.err


@before_landing
def test_a_clock_is_said_where_nothing_is_proven(sequencer):
    ran = sequencer(
        "plan", "delivery-van", "--off", "head", "--people", 2, "--time-limit", 1.5, "--gap", 0.01
    )
    assert "The search was cut short: another run may share the steps out differently." in " ".join(
        ran.out.split()
    )


CONTROL_C = """
import os, signal, threading
signal.signal(signal.SIGINT, signal.default_int_handler)  # a test run in the background ignores it
join = threading.Thread.join
def joined(thread, timeout=None):
    if timeout is not None:
        threading.Thread.join = join
        os.kill(os.getpid(), signal.SIGINT)
    join(thread, timeout)
threading.Thread.join = joined
from sequencer.cli.app import main
main()
"""
"""The program, to which Control-C comes as soon as it waits for a search that improves the schedule."""


@before_landing
def test_control_c_keeps_the_best_schedule():
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", CONTROL_C, "plan", *PUMP, "--people", "2", "--practice", "none"]
    ran = subprocess.run(command, capture_output=True, text=True, env=environment, cwd=ROOT, check=False)
    assert ran.returncode == 0, ran.stderr
    assert "── B ──" in ran.stdout
    assert "The search was cut short" in " ".join(ran.stdout.split())
