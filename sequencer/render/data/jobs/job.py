"""A job under way: at a glance, what comes next, where things are, its chapters; times of day in UTC."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from sequencer.document.jobs.log_lines import time_code
from sequencer.job.evenings.evening import Evening, Halt
from sequencer.job.evenings.opened import openings
from sequencer.job.evenings.tonight import wish_of
from sequencer.job.evenings.way_out import WayOut
from sequencer.job.now.acts import Outcome
from sequencer.job.now.moment import Moment
from sequencer.job.reports.chapters import Chapter
from sequencer.job.reports.status import JobStatus
from sequencer.job.reports.whereabouts import Whereabouts
from sequencer.job.work.curing import Cure, cures
from sequencer.plan.hazards.stops import Left, Verdict
from sequencer.plan.plan import Refit, Teardown
from sequencer.render.data.about import TotalsData
from sequencer.render.data.jobs.outcome import OutcomeData
from sequencer.render.data.plain import FLAT, Record
from sequencer.render.data.plans.plan import (
    StationData,
    WayBackStepData,
    WayInStepData,
    refit_data,
    teardown_data,
)


class AgainstData(Record):
    """A step that did not wait for the sealant."""

    op: str
    person: str
    time: datetime
    why: Annotated[str, "What was said for it; empty for nothing."]


class CureData(Record):
    """A sealant that is on."""

    sealed: Annotated[str, "A part or `part/joint`."]
    sealant: Annotated[str, "In words."]
    source: Annotated[str, "Where its time is from: `file` or `default`."]
    until: Annotated[datetime | None, "null: what it seals is not together yet."]
    holds: Annotated[Sequence[str], "The steps that wait for it."]
    against: Sequence[AgainstData]


def cure_data(cure: Cure) -> CureData:
    """A sealant that is on."""
    against = [
        AgainstData.of(event, op=op, why=str(event.body.get("anyway") or "")) for op, event in cure.against
    ]
    return CureData.of(cure, sealant=cure.label, against=against)


class AwryData(Record):
    """A step that was skipped, or done although the plan said that it can't be."""

    op: str
    number: Annotated[int | None, "null: it was in no plan."]
    why: str | None


class PaceData(Record):
    """How a person's times compare with the plan's."""

    person: str
    factor: Annotated[float, "1.2 is a fifth slower."]


class BagData(Record):
    """A bag and the joint whose fasteners are in it."""

    bag: int
    joint: str


class LooseData(Record):
    """What is in a state of its own if work stops now."""

    what: str
    left: Left
    unsafe: Annotated[bool, "Nobody should walk away from it."]
    look: Annotated[bool, "It has to be looked at before anybody walks away: nothing says what holds it."]


class StatusData(Record):
    """The job at a glance."""

    title: str
    done: int
    steps: int
    skipped: Sequence[AwryData]
    anyway: Sequence[AwryData]
    planned_seconds: Annotated[float, "What is left, by the plan's own times."]
    range_seconds: Annotated[
        Sequence[int] | None, "Eight times in ten what is left takes between, by what was taken so far."
    ]
    likely_seconds: Annotated[int | None, "As often longer as shorter; null: nothing is left."]
    pace: PaceData | None
    worked_seconds: Annotated[float, "With the clock running, up to the last event."]
    running: bool
    turned: Annotated[bool, "It is on the way back."]
    gates: Annotated[Sequence[str], "Joints that still lack their torque."]
    figures: Annotated[Sequence[str], "Joints of which nobody has said the torque."]
    cures: Sequence[CureData]
    bags: Sequence[BagData]
    fluids: Annotated[Sequence[str], "Drained and not filled."]
    openings: Annotated[Sequence[str], "What stands open to a drained fluid's system."]
    off: Annotated[Sequence[str], "Parts that are off."]
    moved: Annotated[Sequence[str], "Parts that are only loose or aside."]
    unread: Annotated[int, "Events that this program can't make sense of, and leaves out."]
    safe_to_leave: Annotated[bool, "Whether it is known that the machine may be left so."]
    leaving: Verdict
    loose: Sequence[LooseData]
    better_after_step: Annotated[int | None, "null: it is best to leave the machine now."]


def status_json(told: JobStatus) -> dict[str, Any]:
    """The job at a glance, as plain data."""
    return StatusData.of(
        told,
        range_seconds=(told.hours.low, told.hours.high) if told.hours else None,
        likely_seconds=told.hours.likely if told.hours else None,
        anyway=[AwryData.of(tick, why=tick.anyway) for tick in told.anyway],
        cures=[cure_data(cure) for cure in told.cures],
        bags=[BagData.of(bag, bag=bag.number) for bag in told.bags],
        safe_to_leave=told.leaving.safe,
        leaving=told.leaving.verdict,
        loose=[LooseData.of(one, what=one.subject) for one in told.leaving.loose],
        better_after_step=told.leaving.better,
    ).plain()


class HaltData(Record):
    """A place where work may stop."""

    step: Annotated[int | None, "After this one; null: before the next one."]
    seconds: Annotated[float, "Planned time until there."]
    likely: Annotated[float, "What that really takes, by what was taken so far."]
    chance: Annotated[float, "Of being there in the time, from 0 to 1."]
    waits_for_cure: Annotated[str | None, "The sealant that has to cure before; the wait counts in `likely`."]
    verdict: Verdict
    loose: Annotated[Sequence[LooseData], "In what state the machine is then."]


class RiskData(Record):
    """A joint that may cost the evening."""

    joint: str
    step: int
    halt: Annotated[int | None, "The last step before it after which to stop; null: where you are."]


class EveningData(Record):
    """What can be done in so much time."""

    until: Annotated[datetime | None, "When they have to be done; null: it was not said."]
    seconds: Annotated[float, "What somebody has."]
    working: Annotated[float, "Less setting out and clearing up."]
    chance: Annotated[float, "That is wished of reaching the place where to stop."]
    best: Annotated[HaltData | None, "Where to stop; null: no such place is reached."]
    next: Annotated[HaltData | None, "The next place beyond that."]
    opens: Annotated[int | None, "The step that is not to be begun unless you can go on to the next place."]
    risks: Sequence[RiskData]


def evening_json(told: Evening) -> dict[str, Any]:
    """What can be done in so much time, as plain data."""
    return EveningData.of(
        told,
        until=told.wish.until if told.wish else None,
        best=told.best and _halt(told.best),
        next=told.next and _halt(told.next),
        risks=[
            RiskData(joint=risk.mishap.joint, step=risk.step, halt=risk.halt.step if risk.halt else None)
            for risk in told.risks
        ],
    ).plain()


def _halt(halt: Halt) -> HaltData:
    loose = [LooseData.of(one, what=one.subject) for one in halt.stop.loose]
    wait = halt.wait and halt.wait.label
    return HaltData.of(halt, waits_for_cure=wait, verdict=halt.stop.verdict, loose=loose)


class NextPlanData(Record):
    """What is left, as a plan has it."""

    kind: Literal["teardown", "refit"]
    targets: Sequence[str]
    steps: Sequence[WayInStepData | WayBackStepData]
    stations: Sequence[StationData]
    totals: TotalsData
    positions: Mapping[str, str]
    tools: Mapping[str, str]


class WayOutData(Record):
    """A way to a state in which the machine may be left; the quickest comes first."""

    onward: Annotated[bool, "On with the plan; otherwise what was done is put back."]
    ops: Annotated[Sequence[str], "The steps to be done, or the ticks to be taken back."]
    acts: Annotated[Sequence[str], "What there is to do, in this order."]
    planned_seconds: Annotated[float, "By the file's own times."]
    likely_seconds: Annotated[float, "What that really takes this person."]
    verdict: Annotated[Verdict, "In which state the machine is then."]
    single: Annotated[bool, "All of it can be said at one go."]


class StopData(Record):
    """What stopping came to, and the ways to make the machine safe; none where it may be left."""

    outcome: Annotated[OutcomeData, FLAT]
    ways: Sequence[WayOutData]


def stop_json(said: Outcome, ways: Sequence[WayOut]) -> dict[str, Any]:
    """What stopping came to, as plain data."""
    out = [
        WayOutData.of(
            way, acts=[act.name for act in way.acts], planned_seconds=way.planned, likely_seconds=way.likely
        )
        for way in ways
    ]
    return StopData(outcome=OutcomeData.of(said), ways=out).plain()


class OpeningData(Record):
    """A step from which on the machine can't be left for a while."""

    step: int
    before: Annotated[int | None, "The step after which it may still be left; null: where it stands now."]
    closed: Annotated[int, "The step after which it may be left again."]
    last: Annotated[bool, "It may not: that step is the last that is left."]
    seconds: Annotated[float, "How long it likely takes to there."]
    at: Annotated[datetime, "When that would be."]
    late: Annotated[bool, "After the end of the evening that was said."]


class NextData(Record):
    """What comes next."""

    title: str
    station: Annotated[Sequence[int], "The steps that come next, by number."]
    running: Annotated[bool, "The clock is running."]
    cures: Sequence[CureData]
    until: Annotated[datetime | None, "When somebody has to be done; null: nobody said."]
    opens: Annotated[Sequence[OpeningData], "What is not to be begun in the evening that was said."]
    plan: NextPlanData


def next_json(moment: Moment, person: str = "") -> dict[str, Any]:
    """What is left, as plain data."""
    plan, station = moment.plan, moment.station
    assert isinstance(plan, Teardown | Refit)
    now = datetime.now(UTC)
    wish = wish_of(moment, person, now)
    left = refit_data(plan) if isinstance(plan, Refit) else teardown_data(plan)
    return NextData(
        title=moment.card.title,
        station=[step.number for step in station.steps] if station else [],
        running=moment.state.running is not None,
        cures=[cure_data(cure) for cure in cures(moment)],
        until=wish.until if wish else None,
        opens=[OpeningData.of(one, step=one.step.number) for one in openings(moment, person, now)],
        plan=NextPlanData.of(left.body, kind=left.kind, targets=left.about.targets, steps=left.steps),
    ).plain()


class ChapterData(Record):
    """A run of steps in a film of the job."""

    start: Annotated[float, "Seconds from the start of the film."]
    code: Annotated[str, "`0:04:09`: hours, minutes, seconds."]
    position: str
    tool: str
    ops: Sequence[str]


class ChaptersData(Record):
    """The chapters of a film of the job."""

    chapters: Sequence[ChapterData]


def chapters_json(found: Sequence[Chapter]) -> dict[str, Any]:
    """The chapters as plain data."""
    chapters = [
        ChapterData.of(one, start=one.start.total_seconds(), code=time_code(one.start)) for one in found
    ]
    return ChaptersData(chapters=chapters).plain()


class TickData(Record):
    """Something that was done to a thing."""

    op: str
    number: int | None
    person: str
    time: datetime


class WhereData(Record):
    """What is known of a part or joint."""

    thing: str
    state: Annotated[str, "`fitted`, `off`, `undone`, `fastened again` …"]
    bag: int | None
    label: Annotated[str | None, "The mark of its pair of labels."]
    steps: Sequence[TickData]
    photos: Sequence[str]
    notes: Sequence[str]
    next: Annotated[int | None, "The next step that is about it."]


class WhereaboutsData(Record):
    """Where each thing is that was asked about."""

    found: Sequence[WhereData]


def where_json(found: Sequence[Whereabouts]) -> dict[str, Any]:
    """Where each thing is, as plain data."""
    things = [WhereData.of(one, steps=one.ticks, next=one.planned) for one in found]
    return WhereaboutsData(found=things).plain()
