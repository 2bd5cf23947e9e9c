"""How far somebody gets in the time that they have, and where to stop."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from sequencer.document.evenings.evening import evening_document
from sequencer.errors import SequencerError
from sequencer.job.desk import By
from sequencer.job.evenings.evening import evening, seconds_of
from sequencer.job.learning.timed import known_of
from sequencer.job.reports.status import stops_ahead
from sequencer.machine.facts.learned import COMMON
from sequencer.plan.hazards.stops import Verdict
from sequencer.plan.hours.hours import draws
from sequencer.plan.hours.records import usual
from sequencer.render.data.jobs.job import evening_json
from tests.support.profile import before_landing

START = datetime(2026, 10, 7, 10, 0, tzinfo=UTC)
MINUTE = 60.0


def reached(desk, working):
    """For each step left, how often it is done in so much time, counted over the draws themselves."""
    plan = desk.moment().plan
    steps = draws(plan.machine, plan.steps, known_of(desk.moment(), "Ann")).steps
    return [sum(total <= working for total in steps[: n + 1].sum(axis=0)) / 2000 for n in range(len(steps))]


@before_landing
@pytest.mark.parametrize("minutes", [12, 20, 40, 90, 300])
def test_the_place_to_stop_is_reached_as_surely_as_was_wished_and_may_be_left(desk, minutes):
    told = evening(desk.moment(), "Ann", minutes * MINUTE)
    chance = reached(desk, told.working)
    last = len(told.rest.steps)
    if told.best is not None:
        assert told.best.chance == pytest.approx(chance[told.best.ahead - 1])
        assert told.best.chance >= 0.8
        assert told.best.stop.verdict is not Verdict.UNSAFE or told.best.ahead == last
    done = told.best.ahead if told.best else 0
    _, later = stops_ahead(desk.moment())
    between = later[done : told.next.ahead - 1] if told.next else later[done : last - 1]
    for stop, share in zip(between, chance[done:], strict=False):
        assert stop.verdict is Verdict.UNSAFE or (told.best and share >= 0.8)


def test_more_time_never_stops_sooner_and_a_surer_wish_never_later(desk):
    ends = [
        told.best.ahead if told.best else 0
        for minutes in (15, 30, 60, 120)
        for told in [evening(desk.moment(), "Ann", minutes * MINUTE)]
    ]
    assert all(one <= other for one, other in pairwise(ends))
    sure, bold = (evening(desk.moment(), "Ann", 30 * MINUTE, chance) for chance in (0.95, 0.5))
    assert (sure.best.ahead if sure.best else 0) <= bold.best.ahead


def test_what_is_begun_and_cannot_be_left_is_not_to_be_begun(desk):
    """The guard hangs half out between steps 2 and 3: where step 3 is not reached, step 2 is not begun."""
    told = evening(desk.moment(), "Ann", 11 * MINUTE)
    if told.opens is not None:
        words = " ".join(str(block) for block in evening_document(told))
        assert f"Do not begin step {told.opens}" in words
    short = evening(desk.moment(), "Ann", 10.2 * MINUTE)
    assert short.best is None
    assert short.next is not None


def test_a_running_clock_has_set_out_already(desk):
    cold = evening(desk.moment(), "Ann", 60 * MINUTE)
    desk.resume(by=By("Ann", "laptop", START))
    warm = evening(desk.moment(), "Ann", 60 * MINUTE)
    assert warm.working == cold.working + 300


def test_who_has_been_slow_so_far_gets_less_far(desk):
    before = evening(desk.moment(), "Ann", 30 * MINUTE)
    desk.resume(by=By("Ann", "laptop", START))
    desk.done("1-4", by=By("Ann", "laptop", START + timedelta(minutes=45)))
    slow = known_of(desk.moment(), "Ann")
    assert slow.factor() > 1.3
    assert slow.deviation(COMMON) < usual().deviation(COMMON)
    told = evening(desk.moment(), "Ann", 30 * MINUTE)
    assert told.best is None or told.best.ahead <= before.best.ahead


def test_the_data_says_the_same(desk):
    told = evening(desk.moment(), "Ann", 30 * MINUTE)
    data = evening_json(told)
    assert data["best"]["step"] == told.best.step
    assert data["best"]["verdict"] in ("safe", "nothing known against it")
    assert 0.8 <= data["best"]["chance"] <= 1


@pytest.mark.parametrize(
    ("said", "seconds"),
    [
        (("90min", None, ()), 5400),
        (("45", None, ()), 2700),
        ((None, "18:30", ()), 2.5 * 3600),
        ((None, "1.15", ()), (1.25 + 8) * 3600),
        ((None, None, (120, 45)), 2700),
    ],
)
def test_the_time_is_said_or_the_jobs_usual_one(said, seconds):
    now = datetime(2026, 10, 7, 16, 0, tzinfo=UTC)
    assert seconds_of(*said, now) == seconds


@pytest.mark.parametrize(
    "said", [("90min", "18:30", ()), (None, "25:00", ()), (None, "soon", ()), (None, None, ())]
)
def test_a_time_that_says_nothing_is_asked_for(said):
    with pytest.raises(SequencerError):
        seconds_of(*said, START)


def test_no_time_and_no_work_are_refused(desk):
    with pytest.raises(SequencerError, match="no time"):
        desk.evening("0 min")
    desk.done("1-17")
    with pytest.raises(SequencerError, match="nothing left"):
        evening(desk.moment(), "Ann", 3600)


def test_with_all_the_time_there_is_all_that_is_left_is_done(desk):
    told = evening(desk.moment(), "Ann", 1000 * 3600)
    assert (told.best.ahead, told.next) == (len(told.rest.steps), None)
    assert "all that is left is done" in str(next(iter(evening_document(told))))


def test_a_place_that_is_not_safe_is_never_called_one_to_stop(desk):
    for minutes in (12, 20, 30, 40, 60):
        told = evening(desk.moment(), "Ann", minutes * MINUTE)
        words = " ".join(str(block) for block in evening_document(told))
        if told.next is not None and told.next.stop.verdict is Verdict.UNSAFE:
            assert "All that is left ends with" in words
            assert "Not a safe place to leave the machine." in words
