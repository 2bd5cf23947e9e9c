"""Corrections and answers: the act that was told last is told anew."""

import pytest

from sequencer.job.desk import By, RefusedError
from sequencer.job.journal.events import EventKind
from tests.job.told.at_a_bare_job import held, order, reading, text_of, told
from tests.support.profile import before_landing, counts

FIRST = "oil cooler aside: 2 nuts 13"


@before_landing
@pytest.mark.parametrize(
    ("line", "correction", "text"),
    [
        (FIRST, "no, 10", "nuts: {kind: nut, head: 10, count: 2}"),
        ("air box off: 3 bolts 10", "no 4", "bolts: {kind: bolt, head: 10, count: 4}"),
        ("bracket off: 2 bolts 10", "actually it was three bolts", "bolts: {kind: bolt, head: 10, count: 3}"),
        ("bracket off: 2 bolts 10", "no, nuts", "nuts: {kind: nut, head: 10, count: 2}"),
        ("lid off: 2 bolts 10, 20 Nm", "no, 25 Nm", "torque: 25 N.m, source: said on the job"),
    ],
)
def test_what_was_wrong_is_told_anew(desk, line, correction, text):
    desk.did(line)
    done = desk.state().done
    desk.did(correction)
    assert text in text_of(desk)
    assert reading(desk).faults == ()
    assert len(desk.state().done) == len(done)
    assert [bag.number for bag in desk.moment().bags.values()] == [1]


@before_landing
def test_a_torque_told_twice_is_the_last_one_with_its_own_source(desk):
    desk.did("lid off: 2 bolts 10, 20 Nm")
    desk.did("lid bolts 10 Nm, manual p. 12")
    desk.did("no, 14 Nm")
    assert "torque: {value: 14 N.m, source: manual p 12}}" in text_of(desk)
    assert reading(desk).faults == ()


EXHAUST = "exhaust off, 2 nuts 12 at the head and 1 bolt 14"
TWICE = "cover off, 2 bolts 12 and 1 bolt 14"


CORRECTIONS = [
    (EXHAUST, "no, 3 nuts", {("nut", "12", 3), ("bolt", "14", 1)}),
    (EXHAUST, "no, nuts 11", {("nut", "11", 2), ("bolt", "14", 1)}),
    (EXHAUST, "no, 13", {("nut", "12", 2), ("bolt", "13", 1)}),
    (EXHAUST, "no, 2 bolts", {("nut", "12", 2), ("bolt", "14", 2)}),
    (EXHAUST, "no, nut", {("nut", "12", 2), ("nut", "14", 1)}),
    (TWICE, "no, 3 bolts 12", {("bolt", "12", 3), ("bolt", "14", 1)}),
]


@before_landing
@pytest.mark.parametrize(
    ("line", "correction", "joints"), counts(quick=CORRECTIONS[::2], landing=CORRECTIONS, nightly=CORRECTIONS)
)
def test_a_correction_is_of_the_joint_that_it_names(desk, line, correction, joints):
    desk.did(line)
    desk.did(correction)
    (part,) = (one for key, one in desk.machine.parts.items() if key in ("exhaust", "cover"))
    assert {(one.kind, one.head, one.count) for one in part.joints.values()} == joints
    assert reading(desk).faults == ()


@before_landing
def test_a_correction_of_a_correction_and_its_undoing(desk):
    desk.did(FIRST)
    first = held(desk)
    desk.did("no, 10")
    second = held(desk)
    desk.did("no, 3")
    assert "nuts: {kind: nut, head: 10, count: 3}" in text_of(desk)
    desk.undo()
    assert held(desk) == second
    desk.undo()
    assert held(desk) == first


def test_a_number_that_may_be_either_is_asked_and_the_answer_puts_it_right(desk):
    desk.did("cover off, 2 nuts")
    desk.did("no, 10")
    assert told(desk)["asks"]["about"] == "correction"
    assert "count: 2, unsure: [head]" in text_of(desk)
    desk.answer("size 10")
    assert "nuts: {kind: nut, head: 10, count: 2}" in text_of(desk)
    assert len(desk.state().done) == 2


def test_the_way_of_a_part_is_answered_and_stays_through_a_correction(desk):
    desk.did("oil cooler aside: 2 nuts 13")
    assert told(desk)["asks"]["about"] == "way"
    desk.answer("the fan shroud")
    assert desk.machine.parts["fan-shroud"].under("behind")
    desk.did("no, 10")
    assert "head: 10" in text_of(desk)
    assert [str(need) for need in desk.machine.parts["fan-shroud"].under("behind")] == ["oil-cooler=aside"]
    assert reading(desk).faults == ()
    assert order(desk) == ["oil-cooler=aside"]


def test_the_likely_answers_are_what_waits_and_the_wish(desk):
    desk.did("oil cooler aside, 2 nuts 10; it was in the way of the fan shroud")
    desk.did("duct off")
    assert told(desk)["asks"]["choices"] == ["Fan shroud", "Cylinder head", "just for room"]


def test_just_for_room_is_no_relation(desk):
    desk.did("duct off")
    before = text_of(desk)
    desk.answer("just for room")
    assert text_of(desk) == before


def test_an_answer_to_no_question_is_refused(desk):
    with pytest.raises(RefusedError, match="nothing was asked"):
        desk.answer("10")


@before_landing
def test_more_of_a_part_that_is_off_is_put_right(desk):
    desk.did("starter off: 2 bolts 13")
    desk.did("and 3 nuts 10")
    desk.did("no, 8")
    assert "nuts: {kind: nut, head: 8, count: 3}" in text_of(desk)
    assert desk.state().done == ("undo starter/bolts", "undo starter/nuts", "remove starter")
    desk.undo()
    desk.undo()
    assert desk.state().done == ("undo starter/bolts", "remove starter")
    assert "nuts" not in text_of(desk)


def test_the_same_line_once_more_says_that_it_was_told(desk):
    desk.did("starter off: 2 bolts 13")
    before = held(desk)
    assert desk.did("starter off: 2 bolts 13").words == ("Starter was told already",)
    assert held(desk)[:4] == before[:4]


def test_what_is_corrected_is_unsure_no_more(desk):
    desk.did("cover off, bolts")
    desk.correct("cover/bolts", {"count": "4"})
    assert "bolts: {kind: bolt, count: 4, unsure: [head]}" in text_of(desk)
    desk.correct("cover/bolts", {"head": "10"})
    assert "unsure: [head]" not in text_of(desk)
    desk.undo()
    assert "bolts: {kind: bolt, count: 4, unsure: [head]}" in text_of(desk)


def test_say_it_again_takes_it_back(desk):
    before = held(desk)
    desk.did("cover frobnicated off the left 3 wibble 12 screws")
    if (asks := told(desk).get("asks")) and "say it again" in asks["choices"]:
        desk.answer("say it again")
        assert held(desk)[:4] == before[:4]


def test_a_line_by_which_nothing_was_done_is_only_a_note(desk):
    before = held(desk)
    desk.did("sump off bar the two front bolts")
    assert told(desk)["asks"]["choices"] == ["yes", "only a note", "say it again"]
    assert "remove sump" in desk.state().done
    desk.answer("only a note")
    assert "remove sump" not in desk.state().done
    assert told(desk)["back"] == "Note: sump off bar the two front bolts."
    desk.undo()
    desk.undo()
    assert held(desk)[:4] == before[:4]


def test_a_reading_that_is_right_is_left_by_yes(desk):
    desk.did("sump off bar the two front bolts")
    desk.answer("yes")
    assert "remove sump" in desk.state().done


def test_what_others_have_built_on_is_not_told_anew(desk):
    desk.did("oil cooler aside: 2 nuts 13; in the way of the fan shroud")
    desk.correct("oil-cooler/nuts", {"thread": "M6"})
    with pytest.raises(RefusedError, match="told again"):
        desk.did("no, 10", by=By("Bo", "phone"))
    assert len(desk.state().of(EventKind.DID)) == 1


def test_each_of_two_people_puts_right_what_they_said_themselves(desk):
    ann, bea = By("Ann", "phone"), By("Bea", "tablet")
    desk.did("lid off, 4 screws PH2; in the way of the cylinder head", by=ann)
    desk.did("drained the coolant, plug 17", by=ann)
    desk.did("panel off, 6 screws T20", by=bea)
    desk.did("motor off, 2 bolts 13", by=ann)
    bags, done = dict(desk.moment().bags), desk.state().done
    desk.did("no, T25", by=bea)
    assert desk.machine.parts["panel"].joints["screws"].head == "T25"
    assert desk.machine.parts["motor"].joints["bolts"].head == "13"
    assert order(desk) == ["lid", "coolant", "panel", "motor"]
    assert (dict(desk.moment().bags), desk.state().done) == (bags, done)
    desk.did("unplugged it", by=bea)  # no part named: her own last one
    assert told(desk)["part"] == "panel"
    desk.answer("cylinder head", by=ann)  # the question that Ann was asked
    assert desk.machine.parts["cylinder-head"].under("behind")
    assert reading(desk).faults == ()
