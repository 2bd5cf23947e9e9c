"""The evening that was said: it lasts as long as it should, and warns before what can't be left in it."""

import io
from datetime import UTC, datetime, timedelta

import pytest
from rich.console import Console

from sequencer.document.underway.going_on import next_document
from sequencer.errors import SequencerError
from sequencer.job.desk import By, Desk
from sequencer.job.evenings.opened import openings
from sequencer.job.evenings.stopping import MadeSafe
from sequencer.job.evenings.tonight import as_said, tonight, wish_of
from sequencer.job.journal.card import read_card
from sequencer.job.journal.events import EventKind
from sequencer.job.reports.status import stops_ahead
from sequencer.plan.hazards.stops import Verdict
from sequencer.render.data.jobs.job import evening_json, next_json
from sequencer.render.terminal import show
from tests.job.conftest import PUMP, begin_job
from tests.support.profile import before_landing

START = datetime(2026, 10, 7, 16, 0, tzinfo=UTC)


def at(minutes, person="Ann"):
    return By(person, "laptop", START + timedelta(minutes=minutes))


def until(desk, minutes, person="Ann"):
    """Minutes after the start at which the evening ends, as it is known so many minutes after it."""
    wish = wish_of(desk.moment(), person, START + timedelta(minutes=minutes))
    return wish and (wish.until - START).total_seconds() / 60


def test_a_time_counts_from_when_the_clock_is_started(desk):
    desk.evening("90min", by=at(0))
    assert until(desk, 30) == 120
    desk.resume(by=at(40))
    assert until(desk, 60) == 130
    desk.stop(by=at(70))
    desk.resume(by=at(85))
    assert until(desk, 90) == 130


def test_saying_and_asking_start_no_clock_stop_none_and_are_not_taken_back(desk):
    desk.evening("90min", by=at(0))
    assert desk.state().running is None
    desk.resume(by=at(5))
    desk.done("1", by=at(10))
    desk.evening("60min", by=at(11))
    as_said(desk.moment(), "Ann", START + timedelta(minutes=12))
    assert desk.state().running == START + timedelta(minutes=5)
    said = desk.undo(by=at(13))
    assert "step 1" in said.words[0]
    assert len(desk.state().of(EventKind.EVENING)) == 2


def test_an_hour_of_the_clock_stays_and_a_chance_alone_changes_only_that(desk):
    local = (START + timedelta(minutes=90)).astimezone()
    desk.evening(until=f"{local:%H:%M}", by=at(0))
    assert until(desk, 60) == 90
    desk.evening(chance=0.95, by=at(10))
    wish = wish_of(desk.moment(), "Ann", START + timedelta(minutes=11))
    assert (until(desk, 11), wish.chance) == (90, 0.95)
    with pytest.raises(SequencerError, match="between 0 and 1"):
        desk.evening(chance=1, by=at(12))


def test_an_evening_is_over_once_its_end_is_past_and_work_stood_or_long_after(desk):
    desk.resume(by=at(0))
    desk.evening("60min", by=at(0))
    assert until(desk, 75) == 60
    assert until(desk, 60 + 239) == 60
    assert until(desk, 60 + 241) is None
    desk.stop(by=at(80))
    assert until(desk, 81) is None
    desk.resume(by=at(24 * 60))
    assert tonight(desk.moment(), "Ann", START + timedelta(days=1, minutes=1)) is None


def test_each_person_has_their_own_and_else_that_of_who_said_one(desk):
    desk.resume(by=at(0))
    desk.evening("60min", by=at(0, "Bo"))
    assert (until(desk, 1, "Ann"), until(desk, 1, "Bo")) == (60, 60)
    desk.evening("30min", by=at(1, "Ann"))
    assert (until(desk, 2, "Ann"), until(desk, 2, "Bo")) == (31, 60)


def test_without_a_word_the_jobs_usual_sitting_counts_from_the_clock(tmp_path):
    with Desk(begin_job(tmp_path / "job", sittings=[120, 45]), at(0)) as desk:
        assert until(desk, 5) == 125
        assert "In 2 h: " in shown(desk)
        desk.resume(by=at(0))
        assert until(desk, 10) == 120
        desk.stop(by=at(100))
        desk.resume(by=at(1000))
        assert until(desk, 1010) == 1045


def test_a_short_break_ends_no_sitting_nor_does_a_stop_that_was_made_safe(tmp_path):
    with Desk(begin_job(tmp_path / "job", sittings=[120, 45, 30]), at(0)) as desk:
        desk.resume(by=at(0))
        desk.done("1-2", by=at(10))
        desk.stop("tea", by=at(20))
        desk.resume(by=at(50))
        assert until(desk, 60) == 120
        desk.stop(by=at(100))
        desk.stop(way=MadeSafe.BACK, by=at(105))
        desk.resume(by=at(1000))
        assert until(desk, 1010) == 1045


def test_the_chance_that_the_job_was_begun_with_holds_until_another_is_said(tmp_path):
    with Desk(begin_job(tmp_path / "job", sittings=[60], chance=0.95), at(0)) as desk:
        assert read_card(tmp_path / "job" / "job.yaml").chance == 0.95
        desk.resume(by=at(0))
        assert as_said(desk.moment(), "Ann", START).chance == 0.95
        desk.evening("90min", by=at(1))
        assert as_said(desk.moment(), "Ann", START).chance == 0.95
        desk.evening(chance=0.6, by=at(2))
        assert as_said(desk.moment(), "Ann", START).chance == 0.6


def test_past_its_end_it_says_so_and_what_the_next_place_is(desk):
    desk.resume(by=at(0))
    desk.evening("20min", by=at(0))
    now = START + timedelta(minutes=25)
    told = as_said(desk.moment(), "Ann", now)
    assert told.best is None
    assert told.next is not None
    assert evening_json(told)["until"] == (START + timedelta(minutes=20)).isoformat()


def first_opening(desk):
    """The number of the first step after which the machine can't be left, and of the end of that."""
    here, later = stops_ahead(desk.moment())
    unsafe = [stop.verdict is Verdict.UNSAFE for stop in (here, *later)]
    first = next(n for n in range(len(later)) if unsafe[n + 1] and not unsafe[n])
    last = next((n for n in range(first + 1, len(later)) if not unsafe[n + 1]), len(later) - 1)
    steps = desk.moment().plan.steps
    return steps[first].number, steps[last].number


def shown(desk, person="Ann"):
    out = io.StringIO()
    show(next_document(desk.moment(), 3, person), Console(file=out, width=400))
    return out.getvalue()


@before_landing
def test_the_step_that_opens_what_cannot_be_left_in_time_is_told_before_it_at_every_door(desk):
    """Text, data and card; where there is time enough, nothing is said."""
    now = datetime.now(UTC)
    by = By("Ann", "laptop", now)
    opens, closed = first_opening(desk)
    desk.resume(by=by)
    desk.evening("10h", by=by)
    assert openings(desk.moment(), "Ann", now) == ()
    assert "can't be left" not in shown(desk)
    desk.evening("6min", by=by)
    (first, *_) = openings(desk.moment(), "Ann", now)
    assert (first.step.number, first.closed) == (opens, closed)
    lines = shown(desk).splitlines()
    warned = next(n for n, line in enumerate(lines) if f"until after step {closed}" in line)
    assert lines[warned + 1].split()[0] == str(opens)
    data = next_json(desk.moment(), "Ann")
    assert data["opens"][0]["step"] == opens
    desk.done(f"1-{opens}", by=by)
    assert all(one.step.number != opens for one in openings(desk.moment(), "Ann", now))
    assert f"after step {closed}" in shown(desk).splitlines()[0]


def test_without_an_evening_what_binds_for_hours_is_told_all_the_same(tmp_path):
    with Desk(begin_job(tmp_path / "short"), at(0)) as desk:
        assert openings(desk.moment(), "Ann", START) == ()
    slow = tmp_path / "slow.yaml"
    slow.write_text(PUMP.read_text(encoding="utf-8").replace("each: 8 s", "each: 20 min"), encoding="utf-8")
    with Desk(begin_job(tmp_path / "long", machine=slow), at(0)) as desk:
        opens, _ = first_opening(desk)
        (told, *_) = openings(desk.moment(), "Ann", START)
        assert (told.step.number, told.wish) == (opens, None)
        assert told.seconds > 3600
