"""From the installed command to the first act that is recorded: four inputs, on terminal and phone."""

import re
import shlex

import pytest

from sequencer.job.desk import Desk
from sequencer.job.journal.folder import find_job

WISH = ("--off", "cylinder head")


def done(folder):
    with Desk(find_job(folder)) as desk:
        return list(desk.moment().state.ticks)


def test_the_help_ends_with_the_first_lines_of_a_beginner_and_they_work(sequencer, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SEQUENCER_DEVICE", "laptop")
    shown = sequencer("--help").out
    lines = shown[shown.index("Start with nothing but what you want off:") :].splitlines()[1:]
    inputs = [shlex.split(line) for line in lines if line.strip()]
    assert len(inputs) <= 4
    for program, *words in inputs:
        if program == "cd":
            monkeypatch.chdir(tmp_path / words[0])
        else:
            assert sequencer(*words).code == 0
    assert done(tmp_path / "my-job") == ["undo belt-guard/screws", "remove belt-guard"]


def test_what_a_new_job_says_to_go_on_with_works(sequencer, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SEQUENCER_DEVICE", "laptop")
    out = sequencer("new", "head job", *WISH).out
    into, did = (shlex.split(line) for line in re.findall(r"^  (.+)$", out, re.MULTILINE))
    assert into == ["cd", "head job"]
    monkeypatch.chdir(tmp_path / into[1])
    assert "Bag 1." in sequencer(*did[1:]).out


@pytest.mark.parametrize("lan", [False, True])
def test_a_job_may_be_served_as_soon_as_it_is_made(sequencer, tmp_path, monkeypatch, lan):
    served = []
    monkeypatch.setattr("sequencer.bench.serve.serve", lambda path, _say, **how: served.append((path, how)))
    assert sequencer("new", tmp_path / "job", *WISH, *(["--lan"] if lan else [])).code == 0
    assert served == ([(tmp_path / "job", {"lan": True})] if lan else [])
