"""What the survey asks for the rules of good practice: where it is likely, once, and Enter skips it."""

import pytest

from sequencer.machine import read_text
from sequencer.machine.survey import AnswerError, Survey
from sequencer.plan.practice.rules import Practice
from tests.plan.jobs import names, there_and_back
from tests.support.profile import before_landing

SAID = {
    "What machine is it?": "Press, invented",
    "What do you want off?": "gearbox, road wheel",
    "What holds the gearbox?": "7 bolts 17 mm, all from under",
    "What is in the way of reaching the gearbox?": "crank pulley",
    "Does anything spill, or can anything hurt, at the gearbox?": "oil, heavy 42 kg",
    "What holds the road wheel?": "5 bolts 19 mm",
    "From where do you work at the road wheel?": "beside it",
    "What is in the way of reaching the road wheel?": "nothing",
    "What holds the crank pulley?": "bolt 21 mm",
    "From where do you work at the crank pulley?": "beside it",
    "What is in the way of reaching the crank pulley?": "drive belt",
    "What holds the drive belt?": "nothing, it lifts off",
    "From where do you work at the drive belt?": "beside it",
    "What is in the way of reaching the drive belt?": "nothing",
    "How is the oil drained?": "by hand, from beside it",
    "Is there a battery or a supply to cut off before everything else?": "no",
    "What comes first, before anybody lies under it?": "it stands on stands",
    "Which tightening torques do you know from the maker's manual?": "road wheel bolts 110 N.m",
    "What holds the crank pulley while its bolts are turned?": "a holding bar",
    "What carries the gearbox when its bolts are out?": "a jack",
    "What is new afterwards at the drive belt?": "the drive belt itself",
    "When do the bolts of the road wheel get their torque?": "on the ground",
}
"""Figures invented."""


def surveyed(**other):
    """A survey in which all is answered, and the questions in their order."""
    survey, asked = Survey(), []
    while (question := survey.question) is not None:
        asked.append(question)
        answer = SAID.get(question.text, question.choices[0] if question.choices else "nothing")
        survey.answer(question.id, other.get(question.id.rpartition("/")[2], answer))
    return survey, asked


def test_what_is_said_of_holding_and_carrying_is_in_the_file_and_in_the_plan():
    survey, asked = surveyed()
    text = survey.machine_text()
    assert not [fault for fault in read_text(text, "press.yaml").faults if fault.severity == "error"]
    machine = read_text(text, "press.yaml").machine
    assert machine.tasks["hold-crank-pulley"].serves == ("crank-pulley/bolt",)
    assert machine.tasks["carry-gearbox"].carries == ("gearbox",)
    assert machine.positions["under"].needs == ("raise",)
    assert machine.positions["under"].below
    assert [one.item for one in machine.parts["drive-belt"].renew] == ["Drive belt"]
    way_in, back = there_and_back(text, [("off", "gearbox"), ("off", "road-wheel")], practice=Practice.ALL)
    there, home = names(way_in), names(back)
    at = there.index("undo crank-pulley/bolt")
    assert there[at - 1 : at + 2 : 2] == ["task hold-crank-pulley", "restore hold-crank-pulley"]
    assert there[there.index("undo gearbox/bolts") - 1] == "task carry-gearbox"
    assert home.index("restore raise") < home.index("torque road-wheel/bolts")
    assert len({one.id for one in asked}) == len(asked)


@before_landing
def test_every_one_of_them_can_be_skipped_and_then_the_file_says_nothing_of_it():
    _, asked = surveyed()
    skips = {one.id.rpartition("/")[2]: one.skip for one in asked if one.skip}
    assert set(skips) == {"holds", "carries", "new", "first", "torqued"}
    survey, _ = surveyed(**(skips | {"torqued": "at once"}))
    text = survey.machine_text()
    for word in ("serves", "carries", "renew", "needs", "below", "when", "tasks"):
        assert f"{word}:" not in text


def test_what_stays_by_itself_is_not_held():
    survey, _ = surveyed(carries="it stays by itself")
    assert "hold: no" in survey.machine_text()
    assert read_text(survey.machine_text(), "press.yaml").machine.parts["gearbox"].hold is False
    assert "carry-gearbox" not in survey.machine_text()


def test_where_it_is_not_likely_nothing_of_it_is_asked():
    survey = Survey()
    survey.answer("machine", "Box, invented")
    survey.answer("off", "lid")
    survey.answer("parts/lid/held", "4 x T20 screws")
    survey.answer("parts/lid/from", "above")
    survey.answer("parts/lid/way", "nothing")
    assert not [one for one in survey.open_questions if one.skip]


@before_landing
@pytest.mark.parametrize("kind", ["holds", "carries"])
@pytest.mark.parametrize("answer", ["coolant", "2 bolts 13 mm", "behind the engine"])
def test_what_can_hold_nothing_is_asked_back(kind, answer):
    with pytest.raises(AnswerError, match="and no help"):
        surveyed(**{kind: answer})


@before_landing
@pytest.mark.parametrize(("kind", "answer"), [("torqued", "perhaps"), ("first", "perhaps")])
def test_what_can_not_be_meant_is_asked_back(kind, answer):
    with pytest.raises(AnswerError, match="not understood"):
        surveyed(**{kind: answer})
