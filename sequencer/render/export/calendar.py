"""The sittings as a calendar (iCalendar, RFC 5545)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time, timedelta
from uuid import NAMESPACE_URL, uuid5

from sequencer.document.both_ways import Job
from sequencer.document.clean import clean
from sequencer.document.lists.parts import supplies
from sequencer.document.plan import aims_of
from sequencer.document.sittings import sitting_title, stop_words
from sequencer.document.words import sentence
from sequencer.errors import SequencerError
from sequencer.plan.evenings.evenings import Sitting, in_one_go
from sequencer.plan.plan import Plan, Refit, Step


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
            raise SequencerError(
                f"--start {text}: that is no date and time", "write it as 2026-12-05T09:00"
            ) from None
    return found


def calendar(job: Job, starts: Sequence[datetime]) -> bytes:
    """An event for each sitting; for each way where the job is not cut.

    The first begin at ``starts``; those after them at the same time of the following days. An event keeps its
    UID for as long as machine, targets and number of the sitting are the same: a calendar moves it and
    does not double it.

    Raises:
        SequencerError: No start is given.
    """
    from icalendar import Calendar, Event

    if not starts:
        raise SequencerError(
            "a calendar needs to know when the first sitting begins", "add --start 2026-12-05T09:00"
        )
    made = Calendar()
    made.add("prodid", "-//sequencer//job//EN")
    made.add("version", "2.0")
    for place, (number, plan, sitting) in enumerate(_sittings(job)):
        begin = starts[place] if place < len(starts) else starts[-1] + timedelta(days=place - len(starts) + 1)
        event = Event()
        event.add("uid", f"{_uid(job, number)}@sequencer")
        event.add("dtstamp", datetime.combine(job.on, time(), UTC))
        event.add("dtstart", begin)
        event.add("dtend", begin + timedelta(minutes=math.ceil(sitting.hours.likely / 60)))
        event.add("summary", clean(f"{job.machine.name}: {sitting_title(plan, sitting, number)}"))
        event.add("description", "\n".join(clean(line) for line in _lines(job, plan, sitting)))
        made.add_component(event)
    data: bytes = made.to_ical()
    return data


def _sittings(job: Job) -> Iterator[tuple[int, Plan, Sitting]]:
    """The sittings, or each way as one."""
    if job.sittings:
        yield from job.sittings
        return
    for number, plan in enumerate((plan for plan in job.ways if plan.steps), start=1):
        yield number, plan, in_one_go(plan)


def _uid(job: Job, number: int) -> str:
    targets = ",".join(str(target) for target in job.into.targets)
    return str(uuid5(NAMESPACE_URL, f"urn:sequencer:{job.title}:{job.machine.name}:{targets}:{number}"))


def _lines(job: Job, plan: Plan, sitting: Sitting) -> Iterator[str]:
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
