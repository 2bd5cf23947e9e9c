"""Where something is."""

import pytest

from sequencer.errors import SequencerError
from sequencer.job.reports.whereabouts import where


def only(desk, words):
    (found,) = where(desk.moment(), words)
    return found


def test_an_undone_joint_is_in_its_bag_with_step_person_and_note(desk):
    desk.done("1-3")
    desk.note("one was rusty", "undo guard/screws")
    found = only(desk, "guard screws")
    assert (found.thing, found.state, found.bag) == ("guard/screws", "undone", 1)
    assert [(tick.number, tick.person) for tick in found.ticks] == [(2, "Ann")]
    assert found.notes == ("one was rusty",)


def test_what_is_still_to_come_says_its_step(desk):
    found = only(desk, "cover/bolts")
    assert found.state == "as it was"
    assert found.planned is not None


def test_a_part_is_told_with_its_state(desk):
    desk.done("1-3")
    assert next(one for one in where(desk.moment(), "guard") if one.thing == "guard").state == "off"


def test_nothing_of_that_name_is_told_with_what_was_meant(desk):
    with pytest.raises(SequencerError, match="did you mean"):
        where(desk.moment(), "gaurd")
    with pytest.raises(SequencerError, match="nothing was asked for"):
        where(desk.moment(), " ")
