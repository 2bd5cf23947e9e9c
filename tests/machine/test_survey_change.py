"""An old answer said anew: what came after it is kept where it makes sense, and asked again where not."""

import pytest

from sequencer.machine.reading import read_text
from sequencer.machine.survey import AnswerError, Survey
from tests.machine.survey_replies import reply
from tests.support.profile import before_landing, counts


@pytest.fixture
def survey():
    survey = Survey()
    for question, text in (
        ("machine", "Invented mower"),
        ("off", "starter"),
        ("parts/starter/held", "2 bolts 13 mm, clip"),
        ("parts/starter/from", "front"),
        ("parts/starter/way", "belt, gaurd aside"),
        ("parts/gaurd/held", "3 screws"),
        ("parts/gaurd/joints/screws/head", "T25"),
        ("parts/gaurd/way", "belt"),
        ("parts/gaurd/aside", "screws"),
    ):
        survey.answer(question, text)
    return survey


def number(survey, ending):
    return next(n for n, (question, _) in enumerate(survey.answered, 1) if question.id.endswith(ending))


def test_what_came_after_is_kept(survey):
    left = [one.id for one in survey.open_questions]
    changed = survey.change(number(survey, "starter/held"), "3 nuts 17")
    assert (changed.echo, changed.words) == ("held by 3 nuts (17 mm socket)", "")
    assert [one.id for one in survey.open_questions] == left
    assert "head: 17" in survey.machine_text()
    assert "head: T25" in survey.machine_text()


def test_a_name_that_is_spelt_rightly_keeps_all_that_was_said_of_it(survey):
    changed = survey.change(number(survey, "starter/way"), "belt, guard aside")
    assert changed.words == "what was said of the gaurd holds for the guard"
    assert "gaurd" not in survey.parts
    assert "aside: {joints: [screws]}" in survey.machine_text()


def test_what_was_wanted_off_may_be_called_otherwise(survey):
    changed = survey.change(number(survey, "off"), "generator")
    assert changed.words == "what was said of the starter holds for the generator"
    assert list(survey.parts) == ["generator", "belt", "gaurd"]


def test_what_no_longer_makes_sense_is_asked_again_and_said_in_one_line(survey):
    changed = survey.change(number(survey, "gaurd/held"), "2 clips, 1 bolt")
    assert changed.words == (
        "asked again: “Which joints are undone to move aside the gaurd?”; "
        "no longer needed: what was said of the gaurd"
    )
    assert "parts/gaurd/aside" in [one.id for one in survey.open_questions]


def test_what_nothing_asks_for_any_more_is_said_to_be_so(survey):
    changed = survey.change(number(survey, "starter/way"), "belt")
    assert changed.words == "no longer needed: what was said of the gaurd"
    assert list(survey.parts) == ["starter", "belt"]


@before_landing
def test_undo_takes_the_change_back_whole(survey, tmp_path):
    text, answers = survey.machine_text(), list(survey.answers)
    kept = Survey.open(tmp_path / "m.yaml")
    for one in answers:
        kept.answer(one.id, one.text)
    kept.change(number(kept, "starter/way"), "belt")
    again = Survey.open(tmp_path / "m.yaml")
    assert again.undo().text == "belt"
    assert (again.machine_text(), again.answers) == (text, answers)
    assert Survey.open(tmp_path / "m.yaml").undo().id == "parts/gaurd/aside"


@pytest.mark.parametrize(
    ("number", "text", "problem"),
    [(0, "x", "no answer 0"), (10, "x", "no answer 10"), (4, "none", "no place")],
)
def test_what_can_not_be_changed_changes_nothing(survey, number, text, problem):
    before = survey.machine_text(), list(survey.answers)
    with pytest.raises(AnswerError, match=problem):
        survey.change(number, text)
    assert (survey.machine_text(), survey.answers) == before


@before_landing
def test_every_answer_said_again_as_it_was_changes_nothing():
    survey = Survey()
    for _ in range(counts(quick=8, landing=16, nightly=16)):
        survey.answer(survey.question.id, reply(survey.question))
    text = survey.machine_text()
    for place, (_, one) in enumerate(survey.answered, 1):
        assert survey.change(place, one.text).words == ""
        assert survey.machine_text() == text
    assert read_text(text, "m.yaml").machine is not None
