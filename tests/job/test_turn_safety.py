"""Turning round makes no machine safe or unsafe to leave: nothing on it has moved."""

import pytest

from sequencer.job.status import leaving


def unsafe(desk):
    return {(one.left, one.subject) for one in leaving(desk.moment()).loose if one.unsafe}


@pytest.mark.parametrize("last", [5, 9, 13, 15])
def test_what_is_unsafe_to_leave_is_so_after_the_turn(desk, last):
    desk.done(f"1-{last}")
    before = unsafe(desk)
    desk.turn()
    assert unsafe(desk) == before


def test_what_was_skipped_is_judged_the_same_after_the_turn(desk):
    desk.done("1")
    desk.skip("2", "were missing")
    before = unsafe(desk)
    desk.turn()
    assert unsafe(desk) == before
