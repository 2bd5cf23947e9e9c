"""Going on after days: how things were left, what was noted, and what to check first."""

from datetime import UTC, datetime, timedelta

from sequencer.document.evenings.resumed import check_first, resumed_document
from sequencer.job.desk import By
from sequencer.job.evenings.stopping import MadeSafe
from tests.job.test_way_out import BEAD
from tests.job.through import begun, tick

START = datetime(2026, 10, 7, 16, 0, tzinfo=UTC)
LATER = START + timedelta(days=5)


def at(minutes):
    return By("Ann", "laptop", START + timedelta(minutes=minutes))


def said(desk, now):
    return " ".join(str(block) for block in resumed_document(desk.moment(), now))


def test_after_days_it_says_where_all_is_and_what_to_look_at(desk):
    desk.resume(by=at(-1440))
    desk.note("an old word", by=at(-1439))
    desk.stop(by=at(-1438))
    desk.resume(by=at(3))
    desk.done("1-10", by=at(20))
    desk.note("long bolt at the bottom", by=at(21))
    desk.stop("bolts in the tray", by=at(22))
    assert said(desk, START + timedelta(hours=1)) == ""
    words = said(desk, LATER)
    for part in (
        "bolts in the tray",
        "by Ann",
        "Belt guard",
        "1 Belt guard: screws",
        "long bolt at the bottom",
    ):
        assert part in words
    assert "an old word" not in words
    checks = list(check_first(desk.moment(), LATER))
    assert any("see that it stands as you left it" in one for one in checks)
    assert any("drained, do not start" in one for one in checks)
    desk.resume(by=By("Ann", "laptop", LATER))
    assert said(desk, LATER + timedelta(days=1)) == ""


def test_what_was_noted_before_it_was_made_safe_is_of_the_same_sitting(desk):
    desk.resume(by=at(0))
    desk.done("1-2", by=at(10))
    desk.note("one screw is stripped", by=at(11))
    desk.stop(by=at(12))
    desk.stop(way=MadeSafe.BACK, by=at(15))
    assert "one screw is stripped" in said(desk, LATER)


def test_what_cures_and_what_was_filled_is_looked_at_first(tmp_path):
    with begun(tmp_path, BEAD, ["pan"]) as desk:
        while desk.moment().plan.steps:
            tick(desk)
        desk.turn()
        while "fasten pan/bolts" not in desk.state().ticks:
            tick(desk)
        checks = " ".join(check_first(desk.moment(), datetime.now(UTC)))
        assert "cures until" in checks
        assert "drained, do not start" in checks
        later = datetime.now(UTC) + timedelta(hours=3)
        desk.done([op for _, op in desk.state().left], anyway="it had cured", prepared=True)
        assert "check the level" in " ".join(check_first(desk.moment(), later))
