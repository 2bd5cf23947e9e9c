"""What a job tells of parts that came away freely and parts that something unseen held."""

from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.looked import counted, summed
from sequencer.plan.looks.looks_kinds import Count, chance_of, is_hidden
from tests.support.profile import before_landing

ON = date(2026, 11, 25)


def kind_of(desk, name):
    machine = desk.machine
    part = machine.parts[name]
    return chance_of(part, hidden=is_hidden(machine, part, part.position)).kind


def total(record):
    return Count(*(sum(count[at] for count in record.values()) for at in (0, 1)))


def do_all(desk):
    while desk.state().left:
        number, _ = desk.state().left[0]
        desk.done(str(number))


def test_a_job_on_which_nothing_is_done_tells_nothing(desk):
    assert counted(desk.moment()) == {}


@before_landing
def test_each_part_that_was_moved_counts_once_and_nothing_held_it(desk):
    do_all(desk)
    moved = {op.split()[1] for op in desk.state().done if op.split()[0] in ("remove", "move-aside", "loosen")}
    assert total(counted(desk.moment())) == (len(moved), 0)


@before_landing
def test_a_part_that_a_find_blocks_counts_as_held_in_the_kind_that_it_was_drawn_as(desk):
    drawn = kind_of(desk, "motor")
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",), position="bench"), ON)
    assert counted(desk.moment()) == {drawn: Count(1, 1)}
    do_all(desk)
    assert counted(desk.moment())[drawn].blocked == 1
    assert total(counted(desk.moment())).blocked == 1


@before_landing
def test_a_part_that_came_into_sight_through_the_find_is_none_of_the_parts_that_were_looked_at(desk):
    do_all(desk)
    before = total(counted(desk.moment()))
    desk.undo()
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",), position="bench"), ON)
    do_all(desk)
    assert total(counted(desk.moment())) == (before.looked, 1)


@before_landing
def test_another_joint_of_a_part_counts_too(desk):
    drawn = kind_of(desk, "guard")
    desk.found(Find("long screw", on="guard", held=("screw T25",)), ON)
    assert counted(desk.moment()) == {drawn: Count(1, 1)}


def test_a_find_that_is_taken_back_counts_no_more(desk):
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",), position="bench"), ON)
    desk.undo()
    assert counted(desk.moment()) == {}


def test_a_look_tells_what_looking_shows_once_it_is_known_what_was_there(desk):
    def looks():
        return {kind: count for kind, count in counted(desk.moment()).items() if kind.startswith("look")}

    stay = Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",), position="bench")
    desk.looked("motor", "mirror")
    desk.looked("guard", "hand", "a clip behind it")
    assert looks() == {"look by hand": Count(1, 0)}  # of the mirror nobody knows yet
    desk.found(stay, ON)
    desk.looked("motor", "eye")  # after the find it shows nothing new
    assert looks() == {"look by hand": Count(1, 0), "look by mirror": Count(1, 1)}
    desk.undo()
    desk.undo()
    assert looks() == {"look by hand": Count(1, 0)}
    desk.undo()
    assert looks() == {}


def test_a_look_is_refused_in_words(desk):
    for said, words in ((("motor", "nose"), "nobody looks by 'nose'"), (("motor", "eye", " "), "is empty")):
        with pytest.raises(SequencerError, match=words):
            desk.looked(*said)
    with pytest.raises(SequencerError, match="no part"):
        desk.looked("gearbox of a boat")


def test_jobs_are_added_up():
    one, other = {"cover": Count(3, 1)}, {"cover": Count(2, 0), "pipe": Count(1, 1)}
    assert summed({"a": one, "b": other}) == {"cover": Count(5, 1), "pipe": Count(1, 1)}
