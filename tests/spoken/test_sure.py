"""A reading that does not account for its line is asked about, with what it does not account for."""

from random import Random

import pytest

from sequencer.spoken import Context, read
from sequencer.spoken.values import Correction
from tests.spoken.score import LISTS, entries
from tests.support.profile import before_landing, counts


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("guard kit sprang off, 2 screws ph2", "guard kit sprang"),  # a verb in a name
        ("gasket flat off, 3 bolts 10", "gasket flat"),  # a state, and no thing
        ("rear shock top bolt 17 bottom bolt 14", "rear shock top"),  # whose is the top?
        ("sump off bar the two front bolts", "bar"),
        ("hub off, 70 nuts 10", "70 nuts 10"),  # no part has so many
        ("wheel n/s/f, 5 bolts 17", "wheel n/s/f"),  # no act, and no thing that is known
        ("lid off, 4 screws PH2, one gone, took a photo, tight, hot", "much at once"),
        ("top cover: 5 screws T20, bottom cover: 3 screws T20", "bottom cover"),  # whose are the three?
        ("starter clutch off, puller m16", "m16"),  # of the puller
        ("carb off, two hooks 27", "two hooks 27"),  # a hook has no head
        ("hub off, nut 32, speed sensor one allen 5", "speed sensor"),  # another part, which came off or not
        ("cover off, 2 screws slotted 3 wires", "slotted 3"),  # three wires, or that size
        ("same again on the other three", "other 3"),  # which ones
    ],
)
def test_what_a_reading_does_not_account_for_is_asked(line, words):
    found = read(line)
    assert found.question is not None
    assert words in found.question.text
    assert found.said  # it is told all the same


@pytest.mark.parametrize(
    "line",
    [
        "swing arm off, 2 bolts 17",
        "whipped the skimmer off, four 8s",
        "portafilter gasket out",
        "10 mil bolts, three of them, hold the bracket",
        "fan pulled and out, two bolts 10",
        "knock sensor, bolt 13, do not overtighten",
        "took the belt off and then the drum pulley, one torx 40",
        "rear wheel out, axle nut 27",  # what is said beside a kind is the joint's label
        "rocker shaft off, 5 bolts 12, loosen bit by bit",  # how it is done, and no second act
        "spring hanger undone, nut 14, hangs loose",
    ],
)
def test_what_is_accounted_for_is_not_asked(line):
    assert read(line).question is None


@pytest.mark.parametrize(
    ("line", "count", "head"),
    [
        ("shroud off, 6 bolts 8, wait no, 7 bolts", 7, "8"),
        ("shroud off, 6 bolts 8 sorry 7 of them", 7, "8"),
        ("shroud off, 6 bolts 8, no, 10", 6, "10"),
        ("shroud off, 6 bolts, all ten", 6, "10"),
        ("shroud off, two bolts, both 13s", 2, "13"),
    ],
)
def test_what_is_put_right_in_one_breath_is_one_joint(line, count, head):
    found = read(line)
    assert found.question is None
    assert [(one.count, one.head) for one in found.acts[0].joints] == [(count, head)]


@pytest.mark.parametrize(
    "line", ["no, 12", "same on the left", "before that the trim came off, 4 clips", "hub off, 2 nuts 17"]
)
def test_words_that_open_a_line_change_nothing(line):
    context = Context(last=read("rear bracket off: 2 bolts 13").acts[0])
    plain, opened = read(line, context), read(f"okay so {line}", context)
    assert (opened.said, opened.notes, opened.question) == (plain.said, plain.notes, plain.question)


def test_a_remark_behind_a_correction_is_no_part():
    context = Context(last=read("rear bracket off: 2 bolts 13").acts[0])
    assert read("no, torx 25, bit rusty", context).question.about == "correction"


def test_what_it_was_in_the_way_of_ends_before_a_joint():
    (did,) = read("air duct off to get at the battery and 2 clamps 7").acts
    assert [one.label for one in did.way_of] == ["battery"]
    assert [(one.count, one.head) for one in did.joints] == [(2, "7")]


def test_a_number_that_no_head_has_may_be_a_torque():
    assert read("axle nuts 110").question.about == "torque"


def test_joints_that_are_told_apart_are_no_further_ones():
    (did,) = read("starter off, two bolts, top one 15, bottom one 13").acts
    assert [(one.label, one.count, one.head) for one in did.joints] == [("top", 1, "15"), ("bottom", 1, "13")]


def test_a_correction_that_says_more_than_it_puts_right_is_asked():
    last = read("rear bracket off: 2 bolts 13").acts[0]
    (fix,) = read("no, I took it off with a puller that day", Context(last=last)).said
    assert isinstance(fix, Correction)
    assert fix.changes == ()


@before_landing
def test_every_question_has_an_answer_that_leaves_it_and_one_that_does_not():
    lines = [read(one["say"], Context()) for name in LISTS[-2:] for one in entries(name)]
    asked = [one.question for one in lines if one.question is not None and one.question.about == "meaning"]
    assert asked
    assert all(one.choices == ("yes", "only a note", "say it again") for one in asked)


@before_landing
def test_no_line_ends_in_a_fault():
    """Words of the lists, thrown together: nothing is refused, whatever it says."""
    words = [word for name in LISTS for one in entries(name) for word in one["say"].split()]
    chance = Random(7)
    for _ in range(counts(quick=60, landing=300, nightly=6000)):
        read(" ".join(chance.choices([*words, ",", ";", "?"], k=chance.randint(1, 9))))


@pytest.mark.parametrize(
    "line",
    [
        "worn and split is shot",
        "it is broken and torn needs replacing",
        "cracker 4 allen 1",
        "7 pin plug and 3 pin plug",
        "4 bolts 13 60 mm long",
    ],
)
def test_what_once_ended_in_a_fault_is_kept(line):
    assert read(line).notes or read(line).said
