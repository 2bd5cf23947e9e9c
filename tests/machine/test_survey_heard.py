"""A survey that hears people: everyday names, numbers of choices, odd answers, the drain's place."""

import pytest

from sequencer.machine.reading import read_text
from sequencer.machine.survey import AnswerError, Survey
from tests.support.profile import before_landing


def begun(*targets):
    survey = Survey()
    survey.answer("machine", "Invented mower")
    survey.answer("off", ", ".join(targets or ("lid",)))
    return survey


def machine_of(survey):
    reading = read_text(survey.machine_text(), "m.yaml")
    assert [fault for fault in reading.faults if fault.severity == "error"] == []
    return reading.machine


def asked(survey, ending):
    return next((one for one in survey.open_questions if one.id.endswith(ending)), None)


# ---- Kinds and heads ----


@pytest.mark.parametrize(
    ("line", "kind", "tool"),
    [
        ("jubilee clip", "clamp", None),
        ("woodruff key", "pin", None),
        ("e-clip", "circlip", None),
        ("snap ring, snap ring pliers", "circlip", "Snap ring pliers"),
        ("nut 13 mm spanner", "nut", "13 mm spanner"),
        ("nut 13 spanner", "nut", "13 mm spanner"),
        ("nut 13 ring spanner", "nut", "13 mm ring spanner"),
        ("nut 13 socket", "nut", "13 mm socket"),
    ],
)
def test_everyday_names_are_known_with_the_tool_that_was_named(line, kind, tool):
    survey = begun()
    survey.answer("parts/lid/held", line)
    machine = machine_of(survey)
    (joint,) = machine.parts["lid"].joints.values()
    assert joint.kind == kind
    assert tool is None or machine.tools[joint.tool].label == tool


@pytest.mark.parametrize(
    ("line", "question", "answer", "head"),
    [
        ("4 phillips screws", "Which size of phillips have the screws of the lid?", "2", "PH2"),
        ("a cross head screw", "Which size of cross head has the screw of the lid?", "1", "PH1"),
        ("2 Allen bolts", "Which size of allen have the bolts of the lid?", "6 mm", "allen 6"),
        ("2 torx bolts", "Which size of torx have the bolts of the lid?", "T30", "T30"),
    ],
)
def test_a_head_without_its_size_is_asked_by_its_sort_and_a_number_is_of_that_sort(
    line, question, answer, head
):
    survey = begun()
    survey.answer("parts/lid/held", line)
    size = asked(survey, "/head")
    assert (size.text, size.by_number) == (question, "no")
    survey.answer(size.id, answer)
    assert [one.head for one in machine_of(survey).parts["lid"].joints.values()] == [head]


def test_a_sort_of_head_is_an_answer_and_then_its_size_is_asked():
    survey = begun()
    survey.answer("parts/lid/held", "3 screws")
    assert survey.answer(asked(survey, "/head").id, "phillips") == "3 screws (phillips)"
    assert asked(survey, "/head").choices[:2] == ("PH2", "PH1")
    with pytest.raises(AnswerError, match="`7` alone says too little"):
        survey.answer(asked(survey, "/head").id, "6, 7")


@pytest.mark.parametrize(
    ("line", "text", "answer", "count"),
    [
        ("bolts 13", "At the lid: how many bolts are there?", "5", 5),
        ("some clips", "At the lid: how many clips are there?", "half a dozen", 6),
        ("10 bolts", "At the lid: 10 bolts, or bolts with 10 mm heads?", "10 of them", 10),
    ],
)
def test_how_many_is_asked_where_several_were_said_and_not_how_many(line, text, answer, count):
    survey = begun()
    survey.answer("parts/lid/held", line)
    question = asked(survey, "/count")
    assert question.text == text
    assert "unsure: [count]" in survey.machine_text()
    with pytest.raises(AnswerError):
        survey.answer(question.id, "lots")
    survey.answer(question.id, answer)
    assert [one.count for one in machine_of(survey).parts["lid"].joints.values()] == [count]


def test_a_number_that_is_the_size_leaves_the_count_to_be_asked():
    survey = begun()
    survey.answer("parts/lid/held", "10 bolts")
    assert (
        survey.answer(asked(survey, "/count").id, "10 mm heads")
        == "bolts (how many is asked next, 10 mm socket)"
    )
    assert asked(survey, "/count").text == "At the lid: how many bolts are there?"


@pytest.mark.parametrize("line", ["strap wrench", "cross", "2 Allen", "spanner", "tab washer", "by hand"])
def test_what_tells_no_kind_is_asked_and_not_guessed(line):
    survey = begun()
    survey.answer("parts/lid/held", line)
    assert "what kind of fixing is that?" in asked(survey, "/kind").text


def test_the_kind_is_heard_by_the_grammar_of_joints():
    survey = begun()
    survey.answer("parts/lid/held", "strap wrench")
    kind = asked(survey, "/kind")
    assert "undone with strap wrench" in kind.text
    with pytest.raises(AnswerError, match="several fixings"):
        survey.answer(kind.id, "nut, 2 bolts")
    survey.answer(kind.id, "a ring nut")
    assert machine_of(survey).parts["lid"].joints["fixing"].kind == "nut"


# ---- What can be no answer ----


@pytest.mark.parametrize(
    ("question", "answer", "problem"),
    [
        ("held", "at the back of the engine", "is a place, and no fixing"),
        ("held", "2 bolts 10, about a cup of oil", "is a fluid, and no fixing"),
        ("held", "catch it in a bucket", "is not the name of a fixing"),
        ("held", "clip and 4", "`4` alone says too little"),
        ("from", "snap ring pliers", "is a tool, and no place"),
        ("from", "engine oil", "is a fluid, and no place"),
        ("from", "belt guard, the gasket", "`the gasket` is a fixing, and no place"),
        ("way", "2 bolts 13 mm", "is a fixing, and no part"),
        ("way", "behind the engine", "is a place, and no part"),
        ("way", "belt and nothing", "is no part"),
        ("way", "belt, 15", "`15` alone says too little"),
        ("spills", "strap wrench", "is a tool, and no fluid"),
        ("spills", "behind the engine", "is a place, and no fluid"),
    ],
)
def test_what_says_something_else_is_asked_back(question, answer, problem):
    survey = begun()
    if question == "spills":
        survey.answer("parts/lid/held", "hose clamp")
    with pytest.raises(AnswerError, match=problem):
        survey.answer(f"parts/lid/{question}", answer)


@pytest.mark.parametrize(
    "answer", ["at the back", "2 bolts 13 mm", "engine oil", "4", "catch it in a bucket"]
)
def test_a_tool_that_can_be_none_is_asked_back(answer):
    survey = begun()
    survey.answer("parts/lid/held", "snap ring")
    tool = asked(survey, "/head")
    with pytest.raises(AnswerError):
        survey.answer(tool.id, answer)
    assert survey.answer(tool.id, "the long-nose pliers") == "snap ring (long-nose pliers)"


def test_names_that_sound_like_it_are_names():
    survey = begun()
    echo = survey.answer("parts/lid/way", "catch tank, drain plug, under-tray, oil filter, the 2 hoses aside")
    assert echo.startswith("in its way: catch tank, drain plug, under-tray, oil filter and 2 hoses (aside)")


# ---- Numbers of choices ----


def seen():
    survey = begun("pump")
    survey.answer("parts/pump/held", "3 bolts 10, hose")
    survey.answer("parts/pump/way", "belt, guard, hose bracket, lead")
    question = next(one for one in survey.open_questions if one.id == "parts/guard/way")
    return survey, question, [one for one in question.choices if "know" not in one]


@before_landing
@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("2", "Belt"),
        ("2, 3 and the strap", "Belt, Hose bracket and the strap"),
        ("2 4", "Belt, Lead"),
        ("3 aside, 4 loose", "Hose bracket aside, Lead loose"),
        ("2 or 3", "Belt or Hose bracket"),
        ("traps: 4", "traps: Lead"),
        ("cylinder 3 coil", "cylinder 3 coil"),
    ],
)
def test_numbers_of_choices_may_stand_inside_a_line(line, meant):
    _, question, choices = seen()
    assert choices == ["nothing", "Belt", "Hose bracket", "Lead"]
    assert question.picked(line, choices) == meant


def test_a_number_that_is_no_choice_is_asked_back_and_a_size_stays_one():
    survey, question, choices = seen()
    with pytest.raises(AnswerError, match="there is no choice 9"):
        question.picked("2, 9", choices)
    held = next(one for one in survey.open_questions if one.id == "parts/belt/held")
    assert held.picked("1", ["nothing, it lifts off"]) == "nothing, it lifts off"
    assert held.picked("bolts, 10", ["nothing, it lifts off"]) == "bolts, 10"


# ---- Places and fluids ----


def test_places_that_mean_the_same_are_one():
    survey = begun("lid", "tray", "guard", "fan")
    for part, place in (
        ("lid", "behind the engine"),
        ("tray", "round the back of the engine"),
        ("guard", "from the rear of engine"),
        ("fan", "on the left-hand side"),
    ):
        survey.answer(f"parts/{part}/from", place)
    assert [one.label for one in machine_of(survey).positions.values()] == [
        "Behind the engine",
        "On the left-hand side",
    ]


def test_where_a_fluid_is_drained_is_asked_where_it_was_not_said():
    survey = begun()
    survey.answer("parts/lid/held", "hose clamp")
    survey.answer("parts/lid/from", "behind the engine")
    echo = survey.answer("parts/lid/spills", "about half a litre of coolant")
    assert echo.startswith("drained first: coolant")
    survey.answer("fluids/coolant", "plug 13 mm")
    question = asked(survey, "coolant/from")
    assert (question.text, question.choices[0]) == ("From where is the coolant drained?", "behind the engine")
    with pytest.raises(AnswerError, match="name of a place"):
        survey.answer(question.id, "catch it in a bucket")
    assert (
        survey.answer(question.id, "at the back of the engine") == "Coolant is drained from behind the engine"
    )
    text = survey.machine_text()
    assert "volume: 0.5 L" in text
    assert "from: behind-the-engine" in text
    assert asked(survey, "coolant/from") is None
