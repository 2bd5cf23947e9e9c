"""How a job stands: what is out, open, in bags, how long still, and whether it may be left."""

from datetime import UTC, datetime, timedelta

import pytest

from sequencer.document.jobs.open_ends import stands_open
from sequencer.graph.operations import Kind
from sequencer.job.desk import By
from sequencer.job.reports.chapters import chapters, film_start
from sequencer.job.reports.status import leaving, pace_of, status
from sequencer.plan.hazards.stops import Left, Verdict
from tests.support.profile import before_landing

START = datetime(2026, 10, 7, 10, 0, tzinfo=UTC)


def at(minute, person="Ann"):
    return By(person, "laptop", START + timedelta(minutes=minute))


def test_a_new_job_has_everything_before_it(desk):
    told = status(desk.moment(), "Ann")
    assert (told.done, told.steps, told.started, told.pace) == (0, 17, False, None)
    assert told.planned_seconds == pytest.approx(float(desk.plan().totals.seconds))
    assert told.hours == desk.plan().hours
    assert (told.off, told.bags, told.fluids, told.leaving.safe) == ((), (), (), True)


def test_what_is_off_moved_drained_open_and_in_bags_is_told(desk):
    desk.done("1-12")
    told = status(desk.moment())
    assert told.off == ("guard", "bracket")
    assert told.moved == ("motor", "outlet-pipe")
    assert told.fluids == ("water",)
    assert told.openings == ("inlet-hose/pump-end", "outlet-pipe/flange")
    assert [(bag.number, bag.joint) for bag in told.bags] == [
        (1, "guard/screws"), (2, "inlet-hose/pump-end"), (3, "outlet-pipe/flange"), (4, "bracket/bolts"),
    ]  # fmt: skip
    desk.done("13-14")
    moment = desk.moment()
    openings = status(moment).openings
    assert openings == ("inlet-hose/pump-end", "outlet-pipe/flange", "cover")  # not by its bolts: it is off
    assert stands_open(moment.machine, "cover") == "where Pump cover was"


def test_a_bag_keeps_its_number_however_the_work_went(desk):
    desk.done("1-4,8")
    bags = {bag.joint: bag.number for bag in status(desk.moment()).bags}
    assert bags == {"guard/screws": 1, "inlet-hose/pump-end": 2}
    assert desk.moment().bags["cover/bolts"].number == 5


def test_what_hangs_half_out_is_no_place_to_stop_and_a_better_one_is_named(desk):
    desk.done("1-2")
    told = leaving(desk.moment(), "Ann")
    assert (told.safe, told.better, told.then) == (False, 3, Verdict.SAFE)
    assert [(one.left, one.subject) for one in told.loose] == [(Left.HALF_OUT_LIGHT, "guard")]
    desk.done("3")
    assert leaving(desk.moment(), "Ann").safe


def test_where_no_place_ahead_is_safe_the_one_that_leaves_least_open_is_named(desk):
    desk.done("1-10")
    told = leaving(desk.moment(), "Ann")
    assert (told.safe, told.better, told.then) == (False, 14, Verdict.UNSAFE)
    assert [(one.left, one.subject) for one in told.loose if one.unsafe] == [
        (Left.HALF_OUT_LIGHT, "outlet-pipe"),
        (Left.HALF_OUT_LIGHT, "bracket"),
        (Left.HELD_UP, "wedge"),
    ]
    steps = [step for step in desk.plan().steps if step.number <= 14]
    assert told.seconds == sum(float(step.seconds + step.change_seconds) for step in steps)
    desk.done("11-14")
    assert leaving(desk.moment(), "Ann").better is None


@before_landing
def test_a_whole_job_there_and_back_ends_with_nothing_open(desk):
    while desk.station() is not None:
        desk.done()
    assert desk.turn().ops == ()
    assert len(status(desk.moment()).gates) == 5
    while (station := desk.station()) is not None:
        for step in station.steps:
            joint = desk.machine.parts[step.operation.part].joints if step.operation.part else {}
            gate = step.operation.kind is Kind.TORQUE
            asked = joint[step.operation.joint].torque.stages[-1].text if gate else None
            desk.done(step.number, torque=asked, fasteners="all", stages="all")
    told = status(desk.moment())
    assert (told.off, told.moved, told.fluids, told.openings, told.bags, told.gates) == ((),) * 6
    assert told.leaving.safe


def test_what_was_skipped_and_what_was_done_anyway_stays_in_sight(desk):
    desk.skip("1", "no supply here")
    desk.done("9", anyway="it was open")
    told = status(desk.moment())
    assert [(tick.op, tick.why) for tick in told.skipped] == [("task isolate", "no supply here")]
    assert [(tick.op, tick.anyway) for tick in told.anyway] == [("undo outlet-pipe/flange", "it was open")]


@before_landing
def test_time_left_is_told_at_the_persons_own_pace(desk):
    desk.resume(by=at(0))
    planned = [float(step.seconds + step.change_seconds) for step in desk.plan().steps]
    minute = 0.0
    for number, seconds in enumerate(planned[:8], start=1):
        minute += 1.5 * seconds / 60
        desk.done(number, by=at(minute))
    told = status(desk.moment(), "Ann")
    assert told.pace is not None
    assert told.pace.factor == pytest.approx(1.5, rel=1e-6)
    by_nobody = desk.plan().hours
    assert told.hours.likely > 1.15 * by_nobody.likely
    assert told.hours.high / told.hours.low < by_nobody.high / by_nobody.low
    assert status(desk.moment(), "Bo").pace is None


def test_a_forgotten_stop_does_not_make_a_slow_person(desk):
    desk.resume(by=at(0))
    planned = [float(step.seconds + step.change_seconds) for step in desk.plan().steps]
    minute = 0.0
    for number, seconds in enumerate(planned[:8], start=1):
        minute += seconds / 60 + (10 * 24 * 60 if number == 3 else 0)
        desk.done(number, by=at(minute))
    assert pace_of(desk.moment(), "Ann").factor == pytest.approx(1, rel=1e-6)


def test_chapters_begin_where_stations_begin(desk):
    desk.resume(by=at(0))
    desk.done("1", by=at(3))
    desk.done("2-3", by=at(5))
    desk.done("4", by=at(9))
    moment = desk.moment()
    found = chapters(moment, START - timedelta(seconds=30))
    assert [(chapter.start.total_seconds(), chapter.ops[0]) for chapter in found][:2] == [
        (30, "task isolate"),
        (210, "undo guard/screws"),
    ]
    # Six screws of 8 s and 10 s for the guard: two minutes at once are shared out like the planned 58 s.
    assert found[2].start.total_seconds() == pytest.approx(210 + 120 * 48 / 58, abs=1e-3)
    assert [chapter.ops[0] for chapter in chapters(moment, START + timedelta(minutes=4))] == [
        "remove guard", "drain water",
    ]  # fmt: skip


def test_a_film_starts_at_a_time_of_the_jobs_first_day(desk, monkeypatch):
    desk.resume(by=at(0))
    desk.done("1", by=at(3))
    first = START.astimezone()
    assert film_start(f"{first:%H:%M}:07", desk.moment()) == first.replace(second=7)
    assert film_start("2026-11-26 10:02:15", desk.moment()).date().isoformat() == "2026-11-26"
    for text in ("25:00:00", "ten", "10:61", "2026-13-01 10:00"):
        with pytest.raises(Exception, match="is not a time of day"):
            film_start(text, desk.moment())
