"""The sittings as a calendar (iCalendar, RFC 5545)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, uuid5

from sequencer.document.clean import clean
from sequencer.document.evenings.sittings import sitting_title, stop_words
from sequencer.document.lists.parts import supplies
from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.plans.plan import aims_of
from sequencer.errors import SequencerError
from sequencer.graph.said import joint_words, path_words, sentence
from sequencer.machine.model import Joint
from sequencer.plan.evenings.evenings import in_one_go
from sequencer.plan.evenings.sittings import Sitting
from sequencer.plan.plan import Gate, Hold, Plan, Refit, Step
from sequencer.render.export.cancelled import JOB

if TYPE_CHECKING:
    import icalendar


def starts_from(texts: Sequence[str]) -> list[datetime]:
    """When sittings begin, as ISO 8601 date and time; without an offset in the time of wherever it is read.

    Raises:
        SequencerError: One of them is no date and time.
    """
    found = []
    for text in texts:
        try:
            found.append(datetime.fromisoformat(text))
        except ValueError:
            raise SequencerError(f"{text!r} is no date and time", "write it as 2026-12-05T09:00") from None
    return found


FIRST = datetime(2020, 1, 1, tzinfo=UTC)
"""Before any export: revisions are counted in seconds from here, so that each later one is greater."""


def calendar(job: PaperJob, starts: Sequence[datetime]) -> bytes:
    """An event for each sitting, or for each way of a job that is not cut; for each cure and gate due again.

    The first begin at ``starts``; those after them at the same time of the following days, as soon as what
    they wait for has cured. A gate that is due again after the job has its event on the day after. An event
    keeps its UID for as long as machine, targets and number of the sitting are the same, and has a later
    stamp and a greater SEQUENCE with each export (RFC 5545, 3.8.7): a calendar moves it.

    Raises:
        SequencerError: No start is given.
    """
    from icalendar import Calendar

    if not starts:
        raise SequencerError(
            "a calendar needs to know when the first sitting begins", "add --start 2026-12-05T09:00"
        )
    made = Calendar()
    made.add("prodid", "-//sequencer//job//EN")
    made.add("version", "2.0")
    cures: list[_Cure] = []
    begin = end = starts[0]
    for place, (number, plan, sitting) in enumerate(_sittings(job)):
        begin = starts[place] if place < len(starts) else _next_day(begin, plan, sitting, cures)
        end = begin + timedelta(minutes=math.ceil(sitting.hours.likely / 60))
        summary = f"{job.machine.name}: {sitting_title(plan, sitting, number)}"
        made.add_component(_event(job, str(number), begin, end, summary, _lines(job, plan, sitting)))
        cures += _cures(plan, sitting, end)
    for cure in cures:
        made.add_component(
            _event(job, f"cure {cure.hold.sealed}", cure.begin, cure.end, *_cure_words(job, cure))
        )
    for gate, joint in _due_again(job):
        words = joint_words(job.machine, joint.part, joint.name)
        says = f"{job.machine.name}: {words}: torque once more {joint.torque.again if joint.torque else ''}"
        due = end + timedelta(days=1)
        lines = [aims_of(job.into), f"step {gate.step} of the way back: its gate is open until then"]
        made.add_component(_event(job, f"again {gate.joint}", due, due + timedelta(minutes=15), says, lines))
    data: bytes = made.to_ical()
    return data


def _event(
    job: PaperJob, what: str, begin: datetime, end: datetime, summary: str, lines: Iterable[str]
) -> icalendar.Event:
    from icalendar import Event

    event = Event()
    event.add("uid", f"{_uid(job, what)}@sequencer")
    event.add(JOB, str(uuid5(NAMESPACE_URL, f"urn:sequencer:{job.title}:{job.machine.name}")))
    now = (job.at or datetime.combine(job.on, time(), UTC)).astimezone(UTC)
    event.add("dtstamp", now)
    event.add("sequence", max(0, int((now - FIRST).total_seconds())))
    event.add("dtstart", begin)
    event.add("dtend", end)
    event.add("summary", clean(summary))
    event.add("description", "\n".join(clean(line) for line in lines))
    return event


@dataclass(frozen=True)
class _Cure:
    """A sealant that cures, from when until when."""

    hold: Hold
    begin: datetime
    end: datetime


def _cures(plan: Plan, sitting: Sitting, end: datetime) -> Iterator[_Cure]:
    """What cures from the end of a sitting on: that is the safe side."""
    for hold in plan.holds if isinstance(plan, Refit) else ():
        if sitting.first <= hold.after_step <= sitting.last:
            yield _Cure(hold, end, end + timedelta(seconds=float(hold.seconds)))


def _next_day(last: datetime, plan: Plan, sitting: Sitting, cures: Sequence[_Cure]) -> datetime:
    """The first of the following days, at the same time, on which what the sitting waits for has cured."""
    begin = last + timedelta(days=1)
    waits = [
        cure.end
        for cure in cures
        if plan.back and cure.hold.before_step and sitting.first <= cure.hold.before_step <= sitting.last
    ]
    while any(end > begin for end in waits):
        begin += timedelta(days=1)
    return begin


def _cure_words(job: PaperJob, cure: _Cure) -> tuple[str, list[str]]:
    where = path_words(job.machine, cure.hold.sealed)
    before = cure.hold.before_step
    wait = f"step {before} of the way back has to wait for it" if before else "do not run the machine before"
    return f"{job.machine.name}: {cure.hold.label} on {where} cures", [aims_of(job.into), wait]


def _due_again(job: PaperJob) -> Iterator[tuple[Gate, Joint]]:
    """The gates that are due again after the job."""
    for gate in job.back.gates if job.back else ():
        joint = job.machine.joint_at(gate.joint)
        if joint.torque is not None and joint.torque.again:
            yield gate, joint


def _sittings(job: PaperJob) -> Iterator[tuple[int, Plan, Sitting]]:
    """The sittings, or each way as one."""
    if job.sittings:
        yield from job.sittings
        return
    for number, plan in enumerate((plan for plan in job.ways if plan.steps), start=1):
        yield number, plan, in_one_go(plan)


def _uid(job: PaperJob, what: str) -> str:
    targets = ",".join(str(target) for target in job.into.targets)
    return str(uuid5(NAMESPACE_URL, f"urn:sequencer:{job.title}:{job.machine.name}:{targets}:{what}"))


def _lines(job: PaperJob, plan: Plan, sitting: Sitting) -> Iterator[str]:
    yield aims_of(job.into)
    if isinstance(plan, Refit):
        wanted = {step.number for step in sitting.steps}
        needed = [one for one in supplies(job) if one.step in wanted]
        for one in needed:
            yield (
                f"have ready: {one.count:g} {one.unit} {one.item}" if one.count else f"have ready: {one.item}"
            )
    for step in sitting.steps:
        yield _step(plan, step)
    yield from stop_words(plan, sitting)


def _step(plan: Plan, step: Step) -> str:
    return f"{step.number} {sentence(plan.machine, step.operation)}"
