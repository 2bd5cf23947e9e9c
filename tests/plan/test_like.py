"""From a type to a file for one's own machine: what is asked, what an answer makes, what is marked."""

from fractions import Fraction
from pathlib import Path

import pytest

from sequencer.errors import SequencerError
from sequencer.graph import parse_targets
from sequencer.machine import read, read_text
from sequencer.machine.survey import AnswerError, Survey, SurveyError, progress_path
from sequencer.plan import plan_teardown
from sequencer.plan.like import begin_survey, open_survey
from sequencer.plan.like.worth_asking import AskingWorth, like_table
from tests.benchmarks.like_type import FEW, TYPES, outcomes
from tests.support.profile import before_landing, counts

PUMP = Path(__file__).parents[2] / "examples" / "bench-pump.yaml"
TUG = PUMP.with_name("yard-tug.yaml")
SAME = "as in the type"


def begun(like=PUMP, off="seal", path=None):
    return begin_survey(path, str(like), [off] if off else [])


def ask(survey, kind):
    """The question of a kind that is asked now."""
    return next(one for one in survey.open_questions if one.id.partition("/")[0] == kind)


def answer(survey, kind, text):
    return survey.answer(ask(survey, kind).id, text)


def machine(survey):
    reading = read_text(survey.machine_text())
    assert [str(one) for one in reading.faults] == []
    return reading.machine


# ---- What is asked ----


@before_landing
def test_only_what_the_job_touches_is_asked_and_the_most_telling_first():
    survey = begun(TUG, "grille")
    assert [one.id for one in survey.open_questions] == ["way/grille"]
    survey = begun()
    asked = [one.id.partition("/") for one in survey.open_questions]
    worths = [sum(_worth_of(survey, kind, thing) for thing in things.split("+")) for kind, _, things in asked]
    assert [kind for kind, *_ in asked] == ["there", "way", "fasteners", "elsewhere"]
    assert worths[1:] == sorted(worths[1:], reverse=True), "but whether a part is there comes first"


def _worth_of(survey, kind, thing):
    return getattr(AskingWorth(machine(survey), parse_targets(machine(survey), ["seal"])), kind)(thing)


def test_the_type_says_what_varies_and_that_is_worth_more():
    text = PUMP.read_text("utf-8").replace(
        "    label: Belt guard\n",
        "    label: Belt guard\n    varies: {missing: 9 in 10, also: [Rag bin], chance: 8 in 10}\n",
    )
    usual, varied = (
        AskingWorth(read_text(one).machine, parse_targets(read_text(one).machine, ["seal"]))
        for one in (PUMP.read_text("utf-8"), text)
    )
    assert varied.there("guard") == usual.there("guard") / Fraction("0.2") * Fraction("0.9")
    assert varied.way("guard") > usual.way("guard")
    assert varied.there("seal") == 0  # it is what is wanted off


def test_what_is_not_worth_an_answer_is_not_asked_and_there_is_an_end_to_answers():
    assert [one.id for one in begun(off="guard").open_questions] == ["way/guard"]
    survey = begun()
    while survey.question is not None:
        survey.answer(survey.question.id, "don't know")
    assert len(survey.answers) <= like_table()["ask"]["answers"]
    assert all(one.later for one in survey.open_questions)


def test_what_nobody_knows_of_several_is_asked_in_halves():
    survey = begun()
    whole = ask(survey, "there").id.partition("/")[2].split("+")
    answer(survey, "there", "don't know")
    halves = [
        one.id.partition("/")[2].split("+") for one in survey.open_questions if one.id.startswith("there")
    ]
    assert sorted(name for half in halves for name in half) == sorted(whole)
    assert max(map(len, halves)) == (len(whole) + 1) // 2


# ---- What an answer makes ----


def test_what_is_not_there_is_in_nobody_s_way_and_the_type_s_comments_stay():
    survey = begun()
    assert answer(survey, "there", "belt guard, the bracket over the pump cover") == (
        "not there: belt guard and bracket over the pump cover"
    )
    found = machine(survey)
    assert {"guard", "bracket"}.isdisjoint(found.parts)
    assert found.parts["belt"].waits == ()
    assert "# slackened, it slides along its slots" in survey.machine_text()


@pytest.mark.parametrize(
    ("words", "way"),
    [
        ("heat shield over pump cover", {"cover"}),
        ("cover behind heat shield", {"cover"}),
        ("heat shield in the way of the drive belt and motor", {"belt", "motor"}),
    ],
)
def test_what_else_is_in_the_way_is_a_part_of_its_own(words, way):
    survey = begun()
    answer(survey, "way", words)
    assert survey.question.text == "What holds the heat shield?"
    survey.answer(survey.question.id, "3 bolts 13 mm, clip")
    found = machine(survey)
    shield = found.parts["heat-shield"]
    assert [(one.kind, one.head, one.count) for one in shield.joints.values()] == [
        ("bolt", "13", 3),
        ("clip", None, 1),
    ]
    assert {name for name, part in found.parts.items() if "heat-shield" in map(str, part.waits)} == way
    assert "heat-shield" not in found.from_type.unsure


def test_of_what_it_is_and_what_it_is_in_the_way_of_is_asked_where_that_was_not_said():
    survey = begun()
    answer(survey, "way", "pump cover, heat shield")
    assert survey.question.text == "What is the heat shield in the way of?"
    survey.answer(survey.question.id, "motor")
    asked = [one.text for one in survey.open_questions[:2]]
    assert asked == ["What else is in the way of the pump cover?", "What holds the heat shield?"]
    survey.answer(survey.open_questions[0].id, "belt")
    found = machine(survey)
    assert "belt" in map(str, found.parts["cover"].waits)
    assert "heat-shield" in map(str, found.parts["motor"].waits)


@pytest.mark.parametrize(
    ("words", "count", "head"),
    [("pulley bolts 6", 6, "10"), ("pump pulley bolts 8 mm", 4, "8"), ("pulley bolts 3 x T30", 3, "T30")],
)
def test_other_fasteners_are_said_in_a_line(words, count, head):
    survey = begun()
    answer(survey, "fasteners", words)
    bolts = machine(survey).joint("pulley", "bolts")
    assert (bolts.count, bolts.head) == (count, head)
    assert (bolts.torque is None) == (head != "10"), "a torque is not that of another fastener"
    assert "pulley/bolts" not in machine(survey).from_type.unsure


def test_fasteners_that_were_only_named_are_asked_for_and_may_be_missing():
    survey = begun()
    answer(survey, "fasteners", "Belt guard screws (6 × T25), cover bolts")
    assert survey.question.text == "Belt guard screws: 6 × T25 in the type. What has yours?"
    survey.answer(survey.question.id, "not there")
    survey.answer(survey.question.id, "8")
    found = machine(survey)
    assert found.parts["guard"].joints == {}
    assert found.joint("cover", "bolts").count == 8
    assert found.joint("cover", "bolts").at == (), "where eight are is not where six were"


def test_a_part_may_be_worked_on_from_a_place_that_the_type_has_not():
    survey = begun()
    answer(survey, "elsewhere", "motor from behind the tank, belt from under")
    found = machine(survey)
    assert found.parts["belt"].position == "under"
    assert found.positions[found.parts["motor"].position].label == "Behind the tank"


@pytest.mark.parametrize(
    ("kind", "words", "why"),
    [
        ("there", "no", "does not say which"),
        ("there", "flywheel", "none of those that are asked of"),
        ("there", "shaft seal", "is what you want off"),
        ("way", "yes", "does not say what is"),
        ("way", "impeller over bracket", "can't be reached|waits for"),
        ("fasteners", "yes", "does not say which"),
        ("fasteners", "pulley bolts 99q", "no tool|neither|unusual"),
        ("elsewhere", "motor from none", "none"),
    ],
)
def test_what_makes_no_sense_is_refused_and_changes_nothing(kind, words, why):
    survey = begun()
    before = survey.machine_text()
    with pytest.raises(AnswerError, match=why):
        answer(survey, kind, words)
    assert survey.machine_text() == before


@before_landing
def test_where_much_is_included_a_part_of_it_may_be_missing_all_the_same():
    survey = begun(TUG, "right-disc")
    answer(survey, "there", "Brake pads, right front")
    found = machine(survey)
    assert "right-pads" not in found.parts
    assert "left-pads" in found.parts
    assert plan_teardown(found, parse_targets(found, ["right-disc"])).proven


# ---- What is marked ----


def test_all_is_unsure_but_what_was_confirmed():
    survey = begun()
    everything = {
        one
        for part in machine(survey).parts.values()
        for one in (part.name, *(joint.path for joint in part.joints.values()))
    }
    assert machine(survey).from_type.unsure == everything
    assert machine(survey).from_type.machine == "bench-pump.yaml"
    while survey.question is not None:
        survey.answer(survey.question.id, SAME)
    left = machine(survey).from_type.unsure
    assert {"guard", "guard/screws", "seal"}.isdisjoint(left)
    assert left == {"belt/idler", "motor/plug", "outlet-pipe/clip", "impeller/tab", "seal/ring"}


# ---- Kept, changed, taken back ----


@before_landing
def test_it_goes_on_where_it_was_left_and_an_old_answer_is_changed(tmp_path, monkeypatch):
    path = tmp_path / "mine.yaml"
    monkeypatch.chdir(PUMP.parent)
    survey = open_survey(path, PUMP.name, ["seal"])
    monkeypatch.chdir(tmp_path)
    answer(survey, "there", "belt guard")
    answer(survey, "fasteners", "pulley bolts 6")
    again = open_survey(path)
    assert again.machine_text() == survey.machine_text()
    assert again.open_questions == survey.open_questions
    again.change(1, SAME)
    assert "guard" in machine(again).parts
    assert machine(again).joint("pulley", "bolts").count == 6
    again.undo()
    assert "guard" not in machine(again).parts
    reading = again.save()
    assert reading.machine is not None
    assert read(path).faults == ()
    with pytest.raises(SurveyError, match="was begun like"):
        open_survey(path, "delivery-van")
    with pytest.raises(SequencerError, match="was begun to get seal off"):
        open_survey(path, None, ["motor"])


def test_a_type_that_was_changed_since_asks_again_what_no_longer_fits(tmp_path):
    kind = tmp_path / "type.yaml"
    kind.write_text(PUMP.read_text("utf-8"), "utf-8")
    survey = open_survey(tmp_path / "mine.yaml", str(kind), ["seal"])
    answer(survey, "fasteners", "pulley bolts 6")
    kind.write_text(kind.read_text("utf-8").replace("Belt guard", "Wire guard"), "utf-8")
    again = open_survey(tmp_path / "mine.yaml")
    assert machine(again).joint("pulley", "bolts").count == 6
    assert machine(again).parts["guard"].label == "Wire guard"
    assert machine(again).from_type.version != machine(survey).from_type.version


def test_without_a_target_the_first_question_is_what_is_wanted_off():
    survey = begun(off=None)
    assert survey.question.id == "off"
    with pytest.raises(AnswerError, match="no part"):
        survey.answer("off", "flywheel")
    survey.answer("off", "shaft seal")
    assert survey.question.id != "off"
    assert next(iter(survey.parts)) == "seal"


def test_there_is_no_such_type():
    with pytest.raises(SequencerError, match="no type `delivery-vn`; did you mean delivery-van"):
        begun("delivery-vn")


def test_a_survey_from_nothing_is_opened_by_the_same_door(tmp_path):
    assert open_survey(tmp_path / "new.yaml").question.id == "machine"
    survey = Survey.open(tmp_path / "new.yaml")
    survey.answer("machine", "Saw")
    with pytest.raises(SurveyError, match="begun from nothing"):
        open_survey(tmp_path / "new.yaml", "delivery-van")
    assert progress_path(tmp_path / "new.yaml").exists()


# ---- Is it right on the real machine? ----


@before_landing
@pytest.mark.parametrize("lost", [Fraction(0), Fraction(1, 4)], ids=["knows all", "knows three quarters"])
def test_the_plan_from_the_answers_works_on_the_real_machine_and_is_near_its_best(lost):
    types, many = counts(quick=((FEW[0],), 1), landing=((FEW[0],), 2), nightly=(TYPES, 5))
    for like, target in types:
        for one in outcomes(like, target, lost, many):
            assert one.answers < 25
            if not lost:
                assert one.wrong == "", one.variant.words
                assert one.ratio <= Fraction(11, 10), one.variant.words
