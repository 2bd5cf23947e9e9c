"""A survey: each kind of question and answer, contradictions, taking back, resuming, and odd input."""

import contextlib
import json
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sequencer.machine.reading import read_text
from sequencer.machine.survey import DONT_KNOW, AnswerError, Survey, SurveyError, progress_path
from tests.machine.survey_replies import PUMP, reply
from tests.support.profile import before_landing, counts


def begun(*targets):
    survey = Survey()
    survey.answer("machine", "Invented pump")
    survey.answer("off", ", ".join(targets or ("lid",)))
    return survey


def read(survey):
    reading = read_text(survey.machine_text(), "m.yaml")
    assert [fault for fault in reading.faults if fault.severity == "error"] == []
    return reading.machine


def ids(survey):
    return [one.id for one in survey.open_questions]


@pytest.mark.parametrize(
    ("line", "echo", "joints"),
    [
        ("4 screws T25", "held by 4 screws (T25 bit)", [("screw", 4, "T25")]),
        (
            "5 bolts 10 mm, connector",
            "held by 5 bolts (10 mm socket) and connector",
            [("bolt", 5, "10"), ("connector", 1, None)],
        ),
        ("3 x T25 screws", "held by 3 screws (T25 bit)", [("screw", 3, "T25")]),
        ("two nuts 13", "held by 2 nuts (13 mm socket)", [("nut", 2, "13")]),
        ("allen 6 bolt", "held by bolt (6 mm hex bit)", [("bolt", 1, "allen 6")]),
        ("nothing", "nothing holds it: it lifts off by hand", []),
        ("it just sits there", "nothing holds it: it lifts off by hand", []),
        ("6 allen bolts, 5 mm", "held by 6 bolts (5 mm hex bit)", [("bolt", 6, "allen 5")]),
        ("too boltz ten", "held by 2 bolts (10 mm socket)", [("bolt", 2, "10")]),
        ("jubilee clip", "held by jubilee clip", [("clamp", 1, None)]),
        ("woodruff key", "held by woodruff key", [("pin", 1, None)]),
        (
            "2 e clips and a snap ring",
            "held by 2 e-clips and snap ring",
            [("circlip", 2, None), ("circlip", 1, None)],
        ),
        ("3 phillips screws", "held by 3 screws", [("screw", 3, None)]),
    ],
)
def test_what_holds_a_part_is_one_line_and_is_shown_as_it_was_understood(line, echo, joints):
    survey = begun()
    assert survey.answer("parts/lid/held", line).startswith(echo)
    read_back = read(survey).parts["lid"].joints.values()
    assert [(one.kind, one.count) for one in read_back] == [(kind, count) for kind, count, _ in joints]
    for _, _, head in joints:
        assert head is None or f"head: {head}" in survey.machine_text()


@pytest.mark.parametrize("line", ["3 screws 73 mm", "bolt 2 mm", "4 bolts T26", "nothing, 2 bolts"])
def test_a_head_that_is_not_made_and_a_fixing_that_is_none_are_asked_back(line):
    survey = begun()
    with pytest.raises(AnswerError):
        survey.answer("parts/lid/held", line)
    assert "parts/lid/held" in ids(survey)


@pytest.mark.parametrize("answer", ["2 bolts 13 mm", "coolant, 2 bolts 13 mm", "catch it in a bucket"])
def test_a_fluid_that_can_be_none_is_asked_back(answer):
    survey = begun()
    survey.answer("parts/lid/held", "hose clamp")
    with pytest.raises(AnswerError, match="fluid"):
        survey.answer("parts/lid/spills", answer)
    assert "drained first: sour milk" in survey.answer("parts/lid/spills", "sour milk")


@pytest.mark.parametrize("answer", ["none", "2 bolts 13 mm", "catch it in a bucket"])
def test_a_place_that_can_be_none_is_asked_back(answer):
    survey = begun()
    with pytest.raises(AnswerError, match="place"):
        survey.answer("parts/lid/from", answer)


def test_a_named_tool_is_the_joints_own():
    survey = begun()
    line = "circlip with circlip pliers, bolt 13 ring spanner, 2 nuts 10 spanner, screw strap wrench"
    survey.answer("parts/lid/held", line)
    machine = read(survey)
    tools = [machine.tools[joint.tool].label for joint in machine.parts["lid"].joints.values()]
    assert tools == ["Circlip pliers", "13 mm ring spanner", "10 mm spanner", "Strap wrench"]


def test_what_has_no_head_is_asked_for_its_tool():
    survey = begun()
    survey.answer("parts/lid/held", "circlip")
    (asked,) = (one for one in survey.open_questions if one.id.endswith("circlip/head"))
    assert asked.text == "What tool does the circlip of the lid need?"
    survey.answer(asked.id, "circlip pliers")
    machine = read(survey)
    assert machine.tools[machine.parts["lid"].joints["circlip"].tool].label == "Circlip pliers"


def test_places_in_other_words_are_the_same_place():
    survey = begun("lid", "tray")
    survey.answer("parts/lid/from", "underneath")
    survey.answer("parts/tray/from", "from below")
    assert list(read(survey).positions) == ["under"]


def test_a_place_said_last_is_where_all_of_it_is_worked_on():
    survey = begun()
    echo = survey.answer("parts/lid/held", "hose clamp, 2 clips, from under")
    assert echo == "held by hose clamp and 2 clips; worked on from: under"
    assert "parts/lid/from" not in ids(survey)
    assert list(read(survey).positions) == ["under"]


def test_what_is_no_known_kind_of_fixing_is_said_to_be_so_asked_and_marked_in_the_file():
    survey = begun()
    assert "kind not known yet" in survey.answer("parts/lid/held", "4 of whatever that is")
    (asked,) = [one for one in survey.open_questions if one.id.endswith("/kind")]
    assert "what kind of fixing is that?" in asked.text
    survey.answer(asked.id, DONT_KNOW)
    assert "not yet known: what is in its way" in survey.machine_text()
    assert "what kind of fixing `whatever that` is" in survey.machine_text()
    with pytest.raises(AnswerError, match="is not a kind of fixing"):
        survey.answer(asked.id, "thingummy")
    assert survey.answer(asked.id, "clip") == "whatever that: clip"
    read(survey)


def test_a_size_is_asked_where_a_tool_is_needed_and_a_head_that_no_tool_fits_is_refused():
    survey = begun()
    survey.answer("parts/lid/held", "4 bolts")
    question = next(one for one in survey.open_questions if one.id.endswith("/head"))
    assert question.text == "What size or head have the bolts of the lid?"
    with pytest.raises(AnswerError, match="is not a size or a head"):
        survey.answer(question.id, "blue")
    assert survey.answer(question.id, "10 mm") == "4 bolts (10 mm socket)"


def test_what_is_in_the_way_may_be_new_loose_aside_either_of_two_or_only_before_a_joint():
    survey = begun()
    survey.answer("parts/lid/held", "4 bolts 10 mm, clip")
    echo = survey.answer("parts/lid/way", "cover, left or right, strap loose; bolts: hose aside; traps: rail")
    assert echo == (
        "in its way: cover, left or right, strap (loose), hose (aside) for its bolts only and rail before it "
        "comes away; new, and asked about later: cover, left, right, strap, hose and rail"
    )
    text = survey.machine_text()
    assert "behind: [cover, {any: [left, right]}, {strap: loose}]" in text
    assert "behind: [{hose: aside}]" in text
    assert "trapped_by: [rail]" in text
    survey.answer("parts/strap/held", "2 nuts 8 mm, hook")
    assert survey.answer("parts/strap/loose", "nuts") == "slackened for that: nuts"
    with pytest.raises(AnswerError, match="none of its joints"):
        survey.answer("parts/hose/held", "clamp") and survey.answer("parts/hose/aside", "rivets")


def test_a_known_part_is_meant_by_its_name_its_plural_or_its_last_word():
    survey = begun("water pump")
    survey.answer("parts/water-pump/way", "drive belt")
    survey.answer("parts/drive-belt/way", "nothing")
    for other in ("guard", "cover"):
        survey.answer("parts/water-pump/held", "clip") if other == "guard" else None
    assert list(survey.parts) == ["water-pump", "drive-belt"]
    more = begun("pump", "lid")
    more.answer("parts/pump/way", "drive belt")
    assert "new" not in more.answer("parts/lid/way", "belt")


def test_contradictions_are_refused_and_change_nothing():
    survey = begun()
    survey.answer("parts/lid/way", "cover")
    before = survey.machine_text(), list(survey.answers)
    with pytest.raises(AnswerError, match="can't be in its way"):
        survey.answer("parts/cover/way", "lid")
    with pytest.raises(AnswerError, match="can't be in its own way"):
        survey.answer("parts/cover/way", "cover")
    with pytest.raises(AnswerError, match="this question is not open"):
        survey.answer("parts/lid/way", "nothing")
    with pytest.raises(AnswerError, match="no answer on this line"):
        survey.answer("parts/cover/way", " \t")
    assert (survey.machine_text(), survey.answers) == before


def test_a_number_alone_is_taken_for_a_size_and_for_nothing_else():
    survey = begun()
    for question in ("parts/lid/held", "parts/lid/from", "parts/lid/way"):
        with pytest.raises(AnswerError, match="`4` alone says too little"):
            survey.answer(question, "4")
    survey.answer("parts/lid/held", "6 bolts")
    assert survey.answer("parts/lid/joints/bolts/head", "13") == "6 bolts (13 mm socket)"
    with pytest.raises(AnswerError, match="no tool"):
        begun().answer("parts/lid/held", "T999 screw")


@before_landing
def test_spills_dangers_draining_supply_and_torques_are_asked_only_where_they_matter():
    plain = begun()
    plain.answer("parts/lid/held", "2 clips")
    plain.answer("parts/lid/from", "at the bench")
    plain.answer("parts/lid/way", "nothing")
    assert plain.finished
    pump = Survey()
    asked = set()
    while (question := pump.question) is not None:
        asked.add(question.id)
        pump.answer(question.id, reply(question))
    assert {"parts/water-pump/spills", "fluids/coolant", "isolate", "torques"} <= asked
    machine = read(pump)
    assert [str(fluid) for fluid in machine.parts["water-pump"].wet] != []
    assert "weight: 18 kg" in pump.machine_text()
    assert "on rated stands" in pump.machine_text()
    assert "torque: 22 N.m, source: as answered" in pump.machine_text()


def test_a_torque_that_may_mean_several_joints_is_refused_with_their_names():
    survey = begun("left lid", "right lid")
    for side in ("left", "right"):
        survey.answer(f"parts/{side}-lid/held", "4 bolts 10 mm")
        survey.answer(f"parts/{side}-lid/from", "front")
        survey.answer(f"parts/{side}-lid/way", "nothing")
    with pytest.raises(AnswerError, match="may mean several joints"):
        survey.answer("torques", "lid bolts 9 N.m")
    with pytest.raises(AnswerError, match="no torque in"):
        survey.answer("torques", "left lid bolts tight")
    said = survey.answer("torques", "left lid bolts 9 N.m and right lid bolts 9 N.m + 2 N.m prevailing")
    assert said == "Left lid, bolts: 9 N.m; Right lid, bolts: 9 N.m, 2 N.m prevailing on top"
    assert "torque: {value: 9 N.m, prevailing: 2 N.m}" in survey.machine_text()


def test_a_question_put_off_comes_last_and_stays_marked_in_the_file():
    survey = begun()
    first = survey.question.id
    assert survey.answer(first, DONT_KNOW) == "left open for later"
    assert survey.open_questions[-1].id == first
    assert survey.question.id != first
    assert "What holds the lid?" in survey.machine_text()
    assert not survey.finished


def test_each_answer_can_be_taken_back_until_nothing_is_left():
    survey, texts = Survey(), []
    for _ in range(counts(quick=8, landing=15, nightly=30)):
        question = survey.question
        texts.append((question, survey.machine_text() if survey.parts else ""))
        survey.answer(question.id, reply(question))
    for question, text in reversed(texts):
        assert survey.undo().id == question.id
        assert survey.question == question
        assert (survey.machine_text() if survey.parts else "") == text
    assert survey.undo() is None


# ---- The file of answers ----


@before_landing
def test_a_survey_goes_on_where_it_was_left(tmp_path):
    path = tmp_path / "m.yaml"
    survey = Survey.open(path)
    for _ in range(12):
        survey.answer(survey.question.id, reply(survey.question))
        again = Survey.open(path)
        assert again.question == survey.question
        assert again.answers == survey.answers
    assert not path.exists()
    survey.undo()
    assert Survey.open(path).answers == survey.answers


@pytest.mark.parametrize("sign", ["\udcff", "\u2028", "\x85", "\x0c", "\0", "\r", "水"])
def test_an_answer_with_any_sign_in_it_is_kept_and_read_again(tmp_path, sign):
    survey = Survey.open(tmp_path / "m.yaml")
    survey.answer("machine", f"My{sign}pump")
    survey.answer("off", f"li{sign}d")
    survey.save()
    assert Survey.open(tmp_path / "m.yaml").machine_text() == survey.machine_text()


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        ("{", "survey.jsonl:1:1: this line is not an answer"),
        ('{"survey": 1, "written": null}\n{"id": "machine"}\n', "survey.jsonl:2:1"),
        ('{"survey": 1, "written": null}\n[]\n', "survey.jsonl:2:1"),
        ('{"survey": 1, "written": null}\n{"id": "nowhere", "text": "x"}\n', "does not fit"),
        ('{"survey": 1, "written": null}\n{"id": "machine", "text": ""}\n', "does not fit"),
        ("\x00\x01", "survey.jsonl:1:1"),
    ],
)
def test_a_damaged_file_of_answers_is_said_to_be_so_and_left_alone(tmp_path, content, problem):
    path = tmp_path / "m.yaml"
    progress_path(path).write_text(content, encoding="utf-8")
    with pytest.raises(SurveyError, match=problem):
        Survey.open(path)
    assert progress_path(path).read_text(encoding="utf-8") == content


@settings(max_examples=counts(quick=8, landing=20, nightly=2000))
@given(st.binary(max_size=80), st.integers(0, 200))
def test_any_damage_to_the_answers_is_a_fault_in_words(tmp_path_factory, noise, at):
    path = tmp_path_factory.mktemp("odd") / "m.yaml"
    lines = [{"survey": 1, "written": None}, {"id": "machine", "text": "M"}, {"id": "off", "text": "lid"}]
    good = "".join(json.dumps(line) + "\n" for line in lines).encode()
    progress_path(path).write_bytes(good[:at] + noise + good[at + len(noise) :])
    with contextlib.suppress(SurveyError):
        Survey.open(path)


def test_a_machine_file_that_no_survey_wrote_or_that_was_changed_since_is_left_alone(tmp_path):
    path = tmp_path / "m.yaml"
    path.write_text("machine: mine\n", encoding="utf-8")
    with pytest.raises(SurveyError, match="no survey wrote it"):
        Survey.open(path)
    path.unlink()
    survey = Survey.open(path)
    survey.answer("off", "lid")
    survey.save()
    Survey.open(path).save()
    mine = path.read_text(encoding="utf-8") + "# mine\n"
    path.write_text(mine, encoding="utf-8")
    with pytest.raises(SurveyError, match="was changed since the survey wrote it"):
        Survey.open(path).save()
    assert path.read_text(encoding="utf-8") == mine


def test_of_two_sittings_at_once_the_second_is_told(tmp_path):
    one, other = Survey.open(tmp_path / "m.yaml"), Survey.open(tmp_path / "m.yaml")
    one.answer("machine", "Mine")
    assert other.changed_elsewhere
    with pytest.raises(SurveyError, match="changed elsewhere"):
        other.answer("machine", "Other")
    assert other.answers == []
    assert not one.changed_elsewhere


def test_nothing_is_written_before_a_part_is_named(tmp_path):
    with pytest.raises(SurveyError, match="nothing to write yet"):
        Survey.open(tmp_path / "m.yaml").save()


# ---- Odd input ----

ODD = """
4 x T25|any|7|0 bolts 10 mm|999 bolts|bolts: a, b|traps:|a or b|either|loose|aside|a loose|/|a/b|lid
lid/bolts|{x}|[|- -|#|: |&a *b|!!x|1/0 in|1e9 N.m|0 N.m|5 N.m
plug|from|from from|all from|水泵|Öl|'"|null|~|on|12:30|new: x
x x 3|T999|M0|behind|0 L|-1 kg|1e400 kg|yes|no|all of them|³ bolts|٣ nuts|5 bolts ³ mm|x ² kg
"""
SNIPPETS = st.sampled_from([*PUMP.values(), *re.split(r"[|\n]", ODD.strip()), "\u202eabc", "\x00", "\ud800"])
ANSWERS = st.one_of(SNIPPETS, st.text(max_size=30), st.lists(SNIPPETS, min_size=2, max_size=3).map(", ".join))


@settings(max_examples=counts(quick=4, landing=15, nightly=2000), suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.integers(0, 5), ANSWERS), min_size=3, max_size=25))
def test_no_answer_breaks_a_survey_and_its_machine_file_always_loads(answers):
    survey = begun("lid", "water pump")
    for which, text in answers:
        left = survey.open_questions
        if not left:
            break
        question = left[which % len(left)]
        with contextlib.suppress(AnswerError):
            assert survey.answer(question.id, text)
    read(survey)
    again = Survey(None, survey.answers)
    assert again.machine_text() == survey.machine_text()
