"""Going on after a while: where everything is, what was left open and noted, and what to check first."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from sequencer.document.blocks import Block, Fields, Para, Tone
from sequencer.document.clean import clean
from sequencer.document.evenings.sittings import left_words
from sequencer.document.jobs.curing import cure_lines
from sequencer.graph.operations import Kind, Op, subjects
from sequencer.graph.said import part_words, path_words, sentence
from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.now.moment import Moment
from sequencer.job.now.sittings import sittings_past
from sequencer.job.reports.record import torque_record
from sequencer.job.reports.status import status
from sequencer.job.work.curing import local_time
from sequencer.machine.called import name_of
from sequencer.wording import clause, listing

A_WHILE = timedelta(hours=6)
"""Nobody who comes back sooner has to be told where they left things (common practice)."""

MOST_NOTES = 6


def resumed_document(moment: Moment, now: datetime) -> Iterator[Block]:
    """What to know before going on; nothing where the clock runs, or stood for a short while only."""
    stops = sittings_past(moment)
    if moment.state.running is not None or not stops or now - stops[-1].event.time < A_WHILE:
        return
    last = stops[-1].event
    who = f" by {last.person}" if last.person else ""
    why = f": {last.body['why']}" if last.body.get("why") else ""
    yield Para(clean(f"Stopped {local_time(last.time)}{who}{why}."), Tone.STRONG)
    told, machine = status(moment), moment.machine
    for line in left_words(machine, told.leaving.loose):
        yield Para(clean(f"Left: {line}"))
    rows = {
        "Off": listing(part_words(machine, part) for part in told.off),
        "Only moved": listing(part_words(machine, part) for part in told.moved),
        "In bags": "; ".join(f"{bag.number} {_joint(moment, bag.joint)}" for bag in told.bags),
        "Noted": " ".join(_noted(moment, stops)),
        "Check first": " ".join(f"{line}." for line in check_first(moment, now)),
    }
    if found := tuple((word, clean(text)) for word, text in rows.items() if text):
        yield Fields(found, apart=True)


def check_first(moment: Moment, now: datetime) -> Iterator[str]:
    """What may have changed by itself meanwhile: what holds a load, levels, cures, torques due again."""
    machine, ticks = moment.machine, moment.state.ticks
    away = subjects(ticks, Kind.RESTORE)
    for name in subjects_in_order(moment, Kind.TASK):
        task = machine.tasks.get(name)
        if task is not None and task.undo is not None and name not in away:
            yield f"{name_of(name, task.label)}: see that it stands as you left it"
    drained = subjects(ticks, Kind.DRAIN)
    for fluid in subjects_in_order(moment, Kind.FILL):
        yield f"{name_of(fluid, machine.fluids[fluid].label)}: check the level, and look below for drips"
    empty = [
        one
        for one in subjects_in_order(moment, Kind.DRAIN)
        if one in drained and Kind.FILL.of(one) not in ticks
    ]
    if empty:
        names = listing(name_of(fluid, machine.fluids[fluid].label) for fluid in empty)
        yield f"{names}: drained, do not start"
    yield from cure_lines(moment, now)
    again = [_joint(moment, entry.joint) for entry in torque_record(moment) if entry.again]
    if again:
        yield f"Torque due again: {listing(again)}"


def subjects_in_order(moment: Moment, kind: Kind) -> list[str]:
    """What the ticked steps of a kind were done to, in their order."""
    return list(dict.fromkeys(op.subject for op in map(Op, moment.state.ticks) if op.kind is kind))


def _joint(moment: Moment, path: str) -> str:
    return path_words(moment.machine, path)


def _noted(moment: Moment, stops: tuple[Recorded, ...]) -> Iterator[str]:
    """The notes of the last sitting, the newest of them."""
    since = stops[-2].seq if len(stops) > 1 else 0
    noted = [one.event.body for one in moment.state.of(EventKind.NOTE) if one.seq > since]
    for body in noted[-MOST_NOTES:]:
        operation = moment.operations.get(Op(str(body.get("op", ""))))
        where = f"{sentence(moment.machine, operation)}: " if operation else ""
        yield f"{where}{clause(str(body['text']))}."
