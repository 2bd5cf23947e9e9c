"""A sealant on the way back: a step like any other, and a cure that holds what fills or runs the machine."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from sequencer.document.blocks import Fields
from sequencer.document.evenings.evening import evening_document
from sequencer.document.jobs.curing import cure_lines
from sequencer.errors import SequencerError
from sequencer.job.desk import Desk, RefusedError
from sequencer.job.evenings.evening import evening
from sequencer.job.evenings.opened import openings
from sequencer.job.reports.record import torque_record
from sequencer.job.reports.status import status
from sequencer.job.reports.whereabouts import where
from sequencer.job.work.curing import CuringError, cures
from sequencer.render.data.jobs.job import evening_json
from tests.job.conftest import ANN, ROOT, begin_job
from tests.support.profile import before_landing

VAN = ROOT / "models" / "delivery-van.yaml"
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
PAN = """
machine: Pan
fluids: {oil: {volume: 4 L, fill: {time: 4 min}}}
tasks: {isolate: {undo: {time: 1 min}}}
first: [isolate]
parts:
  pan:
    wet: [oil]
    sealant: {kind: rtv, assemble_within: 15 min, cure: 2 h}
    joints: {bolts: {kind: bolt, head: 10, count: 10, torque: 9 N.m}}
  shield: {joints: {clip: {kind: clip}}}
"""


class Bench:
    """A job ticked step by step, a minute for each, at a clock of its own."""

    def __init__(self, folder):
        self.desk = Desk(folder, ANN)
        self.now = NOON

    @property
    def by(self):
        self.now += timedelta(minutes=1)
        return replace(ANN, time=self.now)

    def tick(self, name=None, **more):
        step = self.desk.plan().steps[0].operation if name is None else self.desk.moment().operations[name]
        if step.kind.value == "torque":
            asked = self.desk.machine.joint(step.part, step.joint).torque.stages[-1]
            more = {"torque": asked.text, "fasteners": "all", "stages": "all", **more}
        return self.desk.done([step.name], by=self.by, **more)

    def until(self, name):
        while self.desk.plan().steps[0].operation.name != name:
            self.tick()

    def turn(self):
        while self.desk.plan().steps:
            self.tick()
        self.desk.turn(by=self.by)

    def everything_says(self):
        moment = self.desk.moment()
        status(moment)
        torque_record(moment)
        where(moment, next(iter(moment.machine.parts)))
        return cure_lines(moment, self.now)


@pytest.fixture
def pan(tmp_path):
    file = tmp_path / "pan.yaml"
    file.write_text(PAN)
    bench = Bench(begin_job(tmp_path / "job", off=("pan", "shield"), machine=file))
    yield bench
    bench.desk.close()


@before_landing
def test_every_state_of_a_way_back_with_a_sealant_can_be_told(tmp_path):
    bench = Bench(begin_job(tmp_path / "job", off=("cam-cover",), machine=VAN))
    bench.desk.done([step.operation.name for step in bench.desk.plan().steps], by=bench.by)
    bench.desk.turn(by=bench.by)
    names = [step.operation.name for step in bench.desk.plan().steps]
    before = names.index("seal cam-cover")
    bench.desk.done(names[:before], prepared=True, anyway="told for the test", by=bench.by)
    for name in names[before : before + 3]:
        bench.tick(name)
        bench.everything_says()
    bench.desk.done(names[before + 3 :], prepared=True, anyway="told for the test", by=bench.by)
    assert cures(bench.desk.moment())[0].against
    assert not bench.desk.plan().steps
    bench.desk.close()


def test_a_part_is_not_fitted_before_it_is_sealed_nor_sealed_before_it_can_be_fitted(pan):
    pan.turn()
    pan.until("seal pan")
    with pytest.raises(RefusedError, match="seal pan comes before fit pan"):
        pan.tick("fit pan")
    pan.tick("seal pan")
    pan.tick("fit pan")
    assert "fit pan" in pan.desk.state().back


@before_landing
def test_filling_and_running_wait_for_the_cure(pan):
    pan.turn()
    pan.until("fasten pan/bolts")
    pan.tick()
    joined = pan.now
    (cure,) = cures(pan.desk.moment())
    assert cure.until == joined + timedelta(hours=2)
    assert cure.holds == ("fill oil", "restore isolate")
    pan.until("fill oil")
    with pytest.raises(
        CuringError, match=r"step \d+, Fill oil waits: the RTV silicone on pan cures until .*14:1"
    ) as said:
        pan.tick()
    assert said.value.until == cure.until
    assert any("cures until" in line and "don't fill oil" in line for line in pan.everything_says())
    pan.now = joined + timedelta(hours=2)
    assert pan.everything_says() == []
    while pan.desk.plan().steps:
        pan.tick()


@before_landing
def test_what_did_not_wait_stays_in_sight_with_its_reason(pan):
    pan.turn()
    pan.until("fill oil")
    pan.tick(anyway="the tin says 10 min")
    while pan.desk.plan().steps:
        pan.tick(anyway="and so it is")
    pan.now += timedelta(days=3)
    lines = pan.everything_says()
    assert len(lines) == 2
    assert "Ann" in lines[0]
    assert lines[0].endswith("before RTV silicone on pan had cured: the tin says 10 min")


def test_a_tick_is_judged_by_when_it_was_made(pan):
    """A phone that was out of reach sends its tick later."""
    pan.turn()
    pan.until("fill oil")
    with pytest.raises(CuringError):
        pan.desk.done(["fill oil"], by=replace(ANN, time=pan.now + timedelta(hours=1)))
    pan.desk.done(["fill oil"], by=replace(ANN, time=pan.now + timedelta(hours=3)))


@before_landing
def test_a_cure_goes_on_when_the_job_is_taken_apart_again_elsewhere_and_ends_with_its_seal(pan):
    pan.turn()
    pan.until("fill oil")
    pan.desk.turn(apart=True, by=pan.by)
    assert len(cures(pan.desk.moment())) == 1
    for name in ("undo pan/bolts", "remove pan"):
        if name not in pan.desk.state().done:
            pan.tick(name)
    assert cures(pan.desk.moment()) == ()


def test_taking_back_the_fastening_takes_back_the_cure(pan):
    pan.turn()
    pan.until("torque pan/bolts")
    (before,) = cures(pan.desk.moment())
    pan.desk.undo()
    (after,) = cures(pan.desk.moment())
    assert after.until < before.until


@before_landing
def test_a_seal_that_was_skipped_holds_nothing(pan):
    pan.turn()
    pan.until("seal pan")
    pan.desk.skip(["seal pan"], "came with a gasket")
    while pan.desk.plan().steps:
        pan.tick()
    assert cures(pan.desk.moment()) == ()
    with pytest.raises(SequencerError):
        pan.tick("seal pan")


def bought(told):
    """What it says that has to have been bought."""
    fields = [block for block in evening_document(told) if isinstance(block, Fields)]
    return "".join(dict(block.rows).get("Have bought", "") for block in fields)


@before_landing
@pytest.mark.parametrize("on", [False, True], ids=["bead to come", "bead on"])
def test_an_evening_does_not_promise_what_waits_for_a_cure(pan, on):
    pan.turn()
    if on:
        pan.until("fill oil")
    short = evening(pan.desk.moment(), "Ann", 90 * 60, now=pan.now)
    done = short.best.ahead if short.best else 0
    assert short.rest.steps[done].operation.name == "fill oil"
    assert short.next.wait.label == "RTV silicone"
    assert short.next.chance == 0
    (words,) = [p.words for p in evening_document(short) if "has cured" in getattr(p, "words", "")]
    assert "waits until RTV silicone has cured: " in words
    assert evening_json(short)["next"]["waits_for_cure"] == "RTV silicone"
    long = evening(pan.desk.moment(), "Ann", 12 * 3600, now=pan.now)
    assert long.best.ahead == len(long.rest.steps)
    assert long.best.likely > 110 * 60
    assert ("RTV silicone" in bought(long)) is not on
    assert "oil, 4 L" in bought(long)


@before_landing
def test_the_filling_binds_from_when_it_may_begin(pan):
    """The wait for the cure is before the step that opens something, not in what it opens."""
    pan.turn()
    pan.until("fill oil")
    pan.desk.evening("60min", by=replace(ANN, time=pan.now))
    (opening,) = openings(pan.desk.moment(), "Ann", pan.now)
    assert opening.step.operation.name == "fill oil"
    assert opening.seconds < 30 * 60 < opening.ahead


def test_nothing_new_is_bought_for_the_way_in(pan):
    assert bought(evening(pan.desk.moment(), "Ann", 12 * 3600, now=pan.now)) == ""
