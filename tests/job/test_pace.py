"""A person's pace as its file keeps it and a plan takes it, and what a job offers to write back."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from sequencer.errors import SequencerError
from sequencer.graph.targets import parse_targets
from sequencer.job.changes.finds import Find
from sequencer.job.desk import By, Desk
from sequencer.job.learning import learning
from sequencer.job.learning.pace import (
    OTHER,
    KindPace,
    PersonalPace,
    at_pace,
    factors,
    pace_text,
    read_pace,
    records_of,
)
from sequencer.job.learning.timed import FARTHEST, timed
from sequencer.job.reports.status import hours_left
from sequencer.machine.facts.learned import Rate
from sequencer.machine.reading import load
from sequencer.plan.hours.hours import hours_of
from sequencer.plan.hours.records import Cell, JobRecord, ToldPace, known_from
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from tests.job.conftest import PUMP, begin_job
from tests.job.told.at_a_bare_job import desk_at
from tests.support.profile import before_landing

JOB = JobRecord(
    "j1", {Cell("bolt", False): ToldPace(0.4, 50.0), Cell("bolt", True): ToldPace(0.1, 3.0)}, "Pump", "heavy"
)


def test_other_work_tells_of_tasks_parts_and_joints_but_of_no_fluid():
    machine = load(PUMP)
    pace = PersonalPace("Ann", kinds={OTHER: KindPace(Fraction(2), 20), "bolt": KindPace(Fraction(3), 20)})
    paced = at_pace(machine, pace)
    for new, old, factor in (
        (paced.tasks["isolate"], machine.tasks["isolate"], 2),
        (paced.parts["cover"], machine.parts["cover"], 2),
        (paced.joint("cover", "bolts"), machine.joint("cover", "bolts"), 3),
    ):
        assert float(new.seconds / old.seconds) == pytest.approx(factor, rel=0.2)
    assert paced.fluids == machine.fluids
    assert paced.joint("cover", "bolts").seconds_from == "own pace"


def test_a_kind_of_which_little_is_told_is_drawn_towards_what_all_else_tells():
    machine = load(PUMP)
    pace = PersonalPace("Ann", kinds={OTHER: KindPace(Fraction(2), 20), "bolt": KindPace(Fraction(4), 1)})
    assert Fraction(2) < factors(pace, machine)["bolt"].factor < Fraction(3)


def test_at_ones_own_pace_the_hours_are_the_same_and_nothing_counts_twice():
    """A plan of scaled times and one of the file's times say the same hours of the same person."""
    machine = load(PUMP)
    pace = PersonalPace("Ann", (JOB,), {"nut": KindPace(Fraction(2), 20)})
    known = known_from(records_of(pace), machine)
    for plan in (into := plan_teardown(machine, parse_targets(machine, ["seal"])), plan_refit(into)):
        paced = at_pace(machine, pace)
        order = [step.operation.name for step in plan.steps]
        way_in = plan_teardown(paced, parse_targets(paced, ["seal"]))
        own = way_in if plan is into else plan_refit(way_in)
        assert sorted(step.operation.name for step in own.steps) == sorted(order)
        by_file, scaled = hours_of(machine, plan.steps, known), own.hours
        assert own.totals.seconds > 1.2 * plan.totals.seconds
        for one, other in ((by_file.low, scaled.low), (by_file.likely, scaled.likely)):
            assert one == pytest.approx(other, rel=0.02)


def test_a_pace_file_is_read_as_it_was_written(tmp_path):
    kinds = {"bolt": KindPace(Fraction(6, 5), 12), "hose clip": KindPace(Fraction(3, 4), 5)}
    counted = replace(JOB, trouble=Rate(1.25, 0.8), luck=Rate(31, 24.5))
    pace = PersonalPace('Ann "the wrench"', (counted,), kinds)
    path = tmp_path / "pace.toml"
    path.write_text(pace_text(pace), "utf-8")
    read = read_pace(path)
    assert (read.person, read.kinds) == (pace.person, kinds)
    (job,) = read.jobs
    assert (job.job, job.machine, job.rust) == ("j1", "Pump", "heavy")
    assert (job.trouble, job.luck) == (Rate(1.25, 0.8), Rate(31, 24.5))
    assert job.told[Cell("bolt", False)] == (pytest.approx(0.4, abs=1e-3), 50)


def test_a_file_of_former_times_is_still_read(tmp_path):
    path = tmp_path / "pace.toml"
    path.write_text('person = "Ann"\n\n[kinds."bolt"]\nfactor = 1.2\nsamples = 12\n', "utf-8")
    assert read_pace(path) == PersonalPace("Ann", (), {"bolt": KindPace(Fraction(6, 5), 12)})


def test_a_job_that_is_learned_again_takes_the_place_of_what_it_told():
    pace = PersonalPace("Ann").having(JOB).having(JobRecord("j2", JOB.told)).having(JobRecord("j1", {}))
    assert [one.job for one in pace.jobs] == ["j2", "j1"]
    many = pace
    for number in range(30):
        many = many.having(JobRecord(f"k{number}", JOB.told))
    assert [many.jobs[0].job, len(many.jobs)] == ["k10", 20]  # it follows the person over the years


@pytest.mark.parametrize(
    "text",
    [
        "kinds = 3",
        "[kinds.bolt]\nfactor = 'x'",
        "[kinds.bolt]\nfactor = 0",
        "{",
        "jobs = 3",
        "[[jobs]]\njob = 'j'",
        "[[jobs]]\njob = 'j'\ntimes = {bolt = 2}",
        "[[jobs]]\njob = 'j'\ntimes = {bolt = [1.2, 0]}",
        "[[jobs]]\njob = 'j'\ntimes = {bolt = [1.2, 9]}\nluck = 3",
        "[[jobs]]\njob = 'j'\ntimes = {bolt = [1.2, 9]}\ntrouble = [-1, 2]",
        "[[jobs]]\njob = 7\ntimes = {bolt = [1.2, 3]}",
        "[[jobs]]\njob = 'j'\ntimes = [1.2, 3]",
    ],
)
def test_a_pace_file_with_faults_is_refused(tmp_path, text):
    path = tmp_path / "pace.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(SequencerError, match="pace"):
        read_pace(path)


def test_an_empty_pace_leaves_the_machine_as_it_is():
    machine = load(PUMP)
    assert at_pace(machine, PersonalPace()) is machine


@before_landing
def test_what_was_found_and_timed_is_offered_relation_by_relation_and_written_back_once(tmp_path):
    origin = tmp_path / "pump.yaml"
    origin.write_bytes(PUMP.read_bytes())
    began = datetime(2026, 11, 25, 10, tzinfo=UTC)
    desk = Desk(begin_job(tmp_path / "j", machine=origin), By("Ann", "phone"))
    desk.found(Find("stay", {"blocks": ("motor",)}, held=("bolt 10",)), date(2026, 11, 25))
    desk.resume(by=By("Ann", "phone", began))
    desk.done("task isolate", by=By("Ann", "phone", began + timedelta(minutes=3)))
    desk.done("undo guard/screws", by=By("Ann", "phone", began + timedelta(minutes=9)))
    offers = learning.offers(desk.moment(), "Ann", origin)
    words = [offer.words for offer in offers]
    assert words[:2] == ["new part stay, held by bolt head 10", "motor is behind stay"]
    assert words[2].startswith("guard/screws takes ")
    assert learning.offers(desk.moment(), "Bo", origin) == offers[:2]
    learning.write(origin, offers[:2])
    assert "stay" in load(origin).parts
    assert origin.read_text("utf-8").startswith(PUMP.read_text("utf-8")[:200])
    assert learning.offers(desk.moment(), "Ann", origin) == offers[2:]
    desk.close()


def test_a_tick_that_was_caught_up_on_is_no_new_time_for_the_file(tmp_path):
    began = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    desk = Desk(begin_job(tmp_path / "job"), By("Ann", "phone"))
    desk.done("task isolate", by=By("Ann", "phone", began))
    desk.done("undo guard/screws", by=By("Ann", "phone", began + timedelta(seconds=2)))
    assert learning.offers(desk.moment(), "Ann", PUMP) == ()
    desk.close()


def test_ticks_that_are_caught_up_on_say_nothing_of_a_pace(tmp_path):
    """The clock is started after the work, or what was done together is ticked one by one."""
    start = datetime(2026, 10, 7, 10, 0, tzinfo=UTC)
    with Desk(begin_job(tmp_path / "job"), By("Ann", "shop")) as desk:

        def tick(steps, seconds):
            desk.done(steps, by=By("Ann", "shop", start + timedelta(seconds=seconds)))
            return list(timed(desk.moment(), "Ann"))

        desk.resume(by=By("Ann", "shop", start))
        fresh = desk.moment().plan.hours
        assert tick("1-2", 6) == []
        assert hours_left(desk.moment(), "Ann").likely > 0.6 * fresh.likely
        assert [(one.ticked, one.taken) for one in tick("3-5", 606)] == [(3, 600)]
        tick("6", 608)
        (whole,) = tick("7", 611)
        assert (whole.ticked, whole.taken, len(whole.done)) == (5, 605, 5)
        assert whole.planned == pytest.approx(
            sum(float(step.seconds + step.change_seconds) for step in whole.done)
        )


def test_acts_that_are_told_in_one_go_are_one_stretch_of_work(tmp_path):
    """Half an hour's work that is told in three lines, or on from the first line after the clock began."""
    start = datetime(2026, 10, 7, 10, 0, tzinfo=UTC)
    with desk_at(tmp_path / "job") as desk:

        def tell(line, seconds):
            desk.did(line, by=By("Ann", "shop", start + timedelta(seconds=seconds)))
            return [(one.ticked, one.taken) for one in timed(desk.moment(), "Ann")]

        assert tell("guard off, 1 screw PH2", 0) == []
        assert tell("shield off, 1 clip", 40) == []
        assert tell("fan off, 6 bolts 10", 700) == [(2, 660)]
        assert tell("cap off, 1 screw PH2", 745) == [(4, 705)]
        assert tell("duct off, 1 clip", 790) == [(6, 750)]
        assert tell("pump off, 4 bolts 10", 1090) == [(6, 750), (2, 300)]


def test_one_tick_in_a_burst_that_could_be_work_makes_no_pace_of_the_others(tmp_path):
    start = datetime(2026, 10, 7, 10, 0, tzinfo=UTC)
    with Desk(begin_job(tmp_path / "job"), By("Ann", "shop")) as desk:
        desk.resume(by=By("Ann", "shop", start))
        first = desk.moment().plan.steps[0]
        soon = float(first.seconds + first.change_seconds) / (FARTHEST - 1)
        desk.done("1", by=By("Ann", "shop", start + timedelta(seconds=soon)))
        assert len(list(timed(desk.moment(), "Ann"))) == 1
        desk.done("2-6", by=By("Ann", "shop", start + timedelta(seconds=soon + 1)))
        assert list(timed(desk.moment(), "Ann")) == []
