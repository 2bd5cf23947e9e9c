"""``ask``: the questions as text and JSON, answers by number, and what is no answer."""

import json

import pytest

from tests.plan.test_asking import ORDER, PRESS
from tests.support.profile import before_landing


@pytest.fixture
def job(sequencer, tmp_path, monkeypatch):
    """The folder of a job on a machine whose order is only kept."""
    path = tmp_path / "press.yaml"
    path.write_text(f"{PRESS}taken_apart: {{order: [{', '.join(ORDER)}]}}\n", "utf-8")
    folder = tmp_path / "job"
    assert sequencer("new", folder, "--machine", path, "--off", "pump").code == 0
    monkeypatch.setenv("SEQUENCER_JOB", str(folder))
    monkeypatch.setenv("SEQUENCER_DEVICE", "laptop")
    return folder


def test_questions_are_printed_and_answered_by_their_numbers(sequencer, job):
    out = sequencer("ask").out
    assert out.startswith("1 Was anything that you did from 'front' in the way of anything from 'under', or")
    assert "an answer may save 2" in out
    assert "sequencer ask 1 no" in out
    ran = sequencer("ask", "1", "nothing")
    assert "What was done from front and under: the order does not matter." in ran.out
    assert "no longer needed: Undo tray: clips" in ran.out
    assert sequencer("ask").out.startswith("No question is worth a minute")


def test_json_has_what_is_asked_and_what_it_is_worth(sequencer, job):
    [question] = json.loads(sequencer("ask", "--json").out)["questions"]
    assert (question["number"], question["about"]) == (1, "places")
    assert question["then"] == ["tray", "strap", "bracket"]
    assert question["saving_seconds"] > question["expected_seconds"] > 60
    told = json.loads(sequencer("ask", "1", "don't", "know", "--json").out)
    assert told["words"] == ["what was done from front and under: not known, the order stays as it was"]


@before_landing
@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (["no"], "an answer has the number of its question"),
        (["1"], "an answer has the number of its question"),
        (["9", "no"], "there is no question 9"),
        (["1", "flywheel"], "'flywheel' is nothing that this question is about"),
    ],
)
def test_what_is_no_answer_is_said_in_one_line(sequencer, job, words, problem):
    ran = sequencer("ask", *words)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(problem)
