"""What a file learns and what a person's pace learns: no slowness counts twice."""

import random
import shutil
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from sequencer.graph.derive import derive
from sequencer.graph.operations import Kind
from sequencer.job.desk import By, Desk
from sequencer.job.learning import learning
from sequencer.job.learning.pace import PersonalPace, at_pace, factors, pace_text, read_pace
from sequencer.job.learning.timed import known_of
from sequencer.job.reports.status import status
from sequencer.machine.reading import load
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Totals
from tests.job.conftest import ROOT, begin_job
from tests.support.profile import before_landing, counts

BEGAN = datetime(2026, 11, 25, 9, tzinfo=UTC)
STUBBORN = "lid/b5"
OFF = (counts(quick="exhaust-manifold", landing="head", nightly="head"),)
SLOW = [Fraction(3, 2), *counts(quick=(), nightly=(Fraction(4, 5),))]


@pytest.fixture
def origin(tmp_path):
    bolts = "\n".join(f"      b{n}: {{kind: bolt, head: 10, time: 100 s}}" for n in range(8))
    path = tmp_path / "lid.yaml"
    head = "machine: Lid\npositions: {front: {label: F}}\nparts:\n  lid:\n    time: 1 s\n    joints:\n"
    path.write_text(f"{head}{bolts}\n", "utf-8")
    return path


def worked(folder, origin, seconds):
    """A job in which each bolt was undone by itself and took so long, beside the tool change and the way."""
    desk = Desk(begin_job(folder, machine=origin, off=("lid",)), By("Ann", "phone"))
    now = BEGAN
    desk.resume(by=By("Ann", "phone", now))
    for step in desk.plan().steps:
        op = step.operation
        if op.joint:
            now += timedelta(seconds=float(step.change_seconds + seconds(f"{op.part}/{op.joint}")))
            desk.done([op.name], by=By("Ann", "phone", now))
    return desk


def both_learned(desk, origin):
    """The file and the pace as ``learn --write all`` leaves them, and how many offers there were."""
    moment = desk.moment()
    offers = learning.offers(moment, "Ann", origin)
    pace = learning.new_pace(moment, "Ann", PersonalPace())
    learning.write(origin, offers)
    desk.close()
    return at_pace(load(origin), pace), offers, pace


def test_a_slow_person_leaves_the_file_as_it_is(tmp_path, origin):
    desk = worked(tmp_path / "job", origin, lambda _: Fraction(200))
    machine, offers, pace = both_learned(desk, origin)
    assert offers == ()
    assert abs(factors(pace, machine)["bolt"].factor - 2) < Fraction(1, 8)  # it may have been the day
    # 8 bolts at 200 s each
    assert abs(sum(j.seconds for j in machine.parts["lid"].joints.values()) / 1600 - 1) < Fraction(3, 50)


def test_a_stubborn_bolt_is_the_machines_and_slowness_the_persons(tmp_path, origin):
    desk = worked(tmp_path / "job", origin, lambda path: Fraction(600 if path == STUBBORN else 200))
    machine, offers, _ = both_learned(desk, origin)
    assert len(offers) == 1
    assert abs(load(origin).joint(*STUBBORN.split("/")).seconds / 300 - 1) < Fraction(1, 20)
    # 7 at 200 s and one at 600 s
    assert abs(sum(j.seconds for j in machine.parts["lid"].joints.values()) / 2000 - 1) < Fraction(1, 20)


@before_landing
@pytest.mark.parametrize("slow", SLOW)
def test_the_next_plan_of_the_van_by_file_and_pace_is_what_the_worker_takes(tmp_path, slow):
    """One worker does all steps so many times as slowly, give or take; fluids run out as ever.

    A few long tasks have each their own luck: a tenth.
    """
    rng = random.Random(5)
    origin = tmp_path / "van.yaml"
    shutil.copy(ROOT / "models" / "delivery-van.yaml", origin)
    desk = Desk(
        begin_job(
            tmp_path / "job",
            machine=origin,
            off=OFF,
        ),
        By("Ann", "phone"),
    )
    now = BEGAN
    desk.resume(by=By("Ann", "phone", now))
    steps = desk.plan().steps
    for step in steps:
        own = step.seconds
        if step.operation.kind is not Kind.DRAIN:
            own *= slow * Fraction(rng.lognormvariate(0, 0.25))
        now += timedelta(seconds=float(own + step.change_seconds))
        desk.done([step.operation.name], by=By("Ann", "phone", now))
    truth = Fraction((now - BEGAN).total_seconds())
    machine, _, _ = both_learned(desk, origin)
    graph = derive(machine)
    again = Totals.of(replay(graph, [step.operation.name for step in steps], Changes.of(machine)))
    assert abs(again.seconds / truth - 1) < Fraction(1, 10)


def paced(tmp_path, desk):
    """The pace file that ``learn --write p`` leaves."""
    file = tmp_path / "pace.toml"
    pace = learning.new_pace(desk.moment(), "Ann", read_pace(file) if file.is_file() else PersonalPace())
    desk.close()
    if pace is not None:
        file.write_text(pace_text(pace), "utf-8")
    return file


@before_landing
def test_the_next_job_begins_with_what_the_last_one_told(tmp_path, origin):
    file = paced(tmp_path, worked(tmp_path / "one", origin, lambda _: Fraction(220)))
    folder = begin_job(tmp_path / "next", machine=origin, off=("lid",))
    folder = replace(folder, card=replace(folder.card, pace=(str(file),)))
    with Desk(folder, By("Ann", "phone")) as desk:
        ann, bo = (status(desk.moment(), person).hours for person in ("Ann", "Bo"))
        assert bo == desk.plan().hours
    assert ann.likely > 1.4 * bo.likely
    assert ann.high / ann.low < 0.75 * bo.high / bo.low
    again = paced(tmp_path, worked(tmp_path / "two", origin, lambda _: Fraction(220)))
    jobs = read_pace(again).jobs
    assert len({one.job for one in jobs}) == len(jobs) == 2


def test_a_job_that_was_learned_is_not_told_twice(tmp_path, origin):
    desk = worked(tmp_path / "one", origin, lambda _: Fraction(220))
    before = known_of(desk.moment(), "Ann")
    moment = desk.moment()
    file = paced(tmp_path, desk)
    assert learning.new_pace(moment, "Ann", read_pace(file)) is None
    named = replace(moment, card=replace(moment.card, pace=(str(file), str(tmp_path / "gone.toml"))))
    assert known_of(named, "Ann").means == pytest.approx(before.means)


def test_what_was_taken_from_a_type_and_was_in_hand_is_confirmed_by_the_work(tmp_path, origin):
    unsure = "from_type: {machine: lid, unsure: [lid, lid/b0, lid/b1, lid/b7]}\n"
    origin.write_text(origin.read_text("utf-8") + unsure, "utf-8")
    desk = Desk(begin_job(tmp_path / "job", machine=origin, off=("lid",)), By("Ann", "phone"))
    desk.resume()
    desk.correct("lid/b7", {"head": "12"})
    assert desk.machine.from_type.unsure == {"lid", "lid/b0", "lid/b1"}
    desk.undo()
    assert "lid/b7" in desk.machine.from_type.unsure
    desk.correct("lid/b7", {"head": "12"})
    desk.done(["undo lid/b1"])
    offers = learning.offers(desk.moment(), "Ann", origin)
    assert [offer.words for offer in offers] == [
        "lid/b7: head 12",
        "as in the type, confirmed: lid/b1, lid/b7",
    ]
    learning.write(origin, offers)
    assert load(origin).from_type.unsure == {"lid", "lid/b0"}
    desk.close()
