"""The battery's negative lead, or the mains plug, comes off first and goes on last, whenever it was told."""

import pytest

from tests.job.told.at_a_bare_job import order, reading, text_of
from tests.support.profile import before_landing, counts

LINES = [
    "battery negative lead off first, nut 10, tie it back",
    "take the battery negative off first",
    "disconnected the battery",
    "battery earth cable off, 10",
    "negative terminal of the battery off, 10",
    "mains plug pulled",
    "power cord unplugged",
]


@before_landing
@pytest.mark.parametrize("line", counts(quick=LINES[:2], landing=LINES, nightly=LINES))
@pytest.mark.parametrize("late", [False, True])
def test_it_is_connected_last_of_all(desk, line, late):
    desk.did("bonnet off, 4 bolts 13")
    desk.did("duct off, 2 clamps", before_now=True)
    desk.did(line, before_now=late)
    desk.did("head off, 10 bolts 13; it was in the way of the block")
    assert reading(desk).faults == ()
    (name,) = desk.machine.first
    assert name in order(desk)
    assert not any("file is wrong" in word for word in desk.turn().words)
    left = [op for _, op in desk.state().left]
    assert left[-1] == f"restore {name}"


def test_it_is_said_once_and_put_back_by_its_name(desk):
    desk.did("battery negative lead off, nut 10")
    desk.did("battery negative off")
    assert list(desk.machine.tasks) == ["battery-negative-lead-off"]
    assert "note" not in text_of(desk)
    desk.did("cover off, 2 screws PH2")
    desk.turn()
    assert any("can't be yet" in word for word in desk.did("battery negative back on").words)
    assert desk.state().done[-1] == "remove cover"
    desk.did("cover back on")
    assert desk.did("battery negative back on").ops == ("restore battery-negative-lead-off",)


def test_first_of_all_is_no_memory_where_nothing_was_told_before(desk):
    desk.did("first the chain guard off, 3 screws PH2")
    assert desk.machine.taken_apart.guessed == frozenset() or not desk.machine.taken_apart.guessed
    desk.did("before that, the lid off")
    assert order(desk) == ["lid", "chain-guard"]
    assert "guessed: [lid]" in text_of(desk)
