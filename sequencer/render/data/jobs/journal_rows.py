"""The journal as plain data and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Annotated, Any

from sequencer.document.jobs.log_lines import event_text
from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.journal.replay import Struck
from sequencer.job.now.moment import Moment
from sequencer.render.data.plain import Record, keys
from sequencer.render.rows import inert


class LogEntryData(Record):
    """One thing that was said."""

    seq: int
    time: datetime
    recorded: Annotated[datetime, "When this journal got it."]
    person: str
    device: str
    kind: EventKind
    ops: Annotated[Sequence[str], "The operations that it is about."]
    text: Annotated[str, "What it says, in words."]
    undone: Annotated[bool, "It was taken back."]
    id: str
    body: Annotated[Mapping[str, Any], "All that its event holds; not in the CSV."]


class LogData(Record):
    """The journal of a job, oldest entry first."""

    title: str
    events: Sequence[LogEntryData]


def log_json(moment: Moment, log: Sequence[Recorded], last: int | None = None) -> dict[str, Any]:
    """The journal as plain data; ``last``: only so many."""
    return LogData(title=moment.card.title, events=_entries(moment, log, last)).plain()


def log_csv(moment: Moment, log: Sequence[Recorded], last: int | None = None) -> str:
    """The journal as CSV (RFC 4180) with a line of names; times in UTC."""
    stream = io.StringIO()
    columns = [key.written for key in keys(LogEntryData) if key.written != "body"]
    writer = csv.DictWriter(stream, columns, extrasaction="ignore")
    writer.writeheader()
    for row in _entries(moment, log, last):
        writer.writerow({key: _cell(value) for key, value in row.plain().items()})
    return stream.getvalue()


def _cell(value: object) -> object:
    return inert("; ".join(value) if isinstance(value, list) else value)


def _entries(moment: Moment, log: Sequence[Recorded], last: int | None) -> list[LogEntryData]:
    struck, known = Struck.of(log), {one.event.id: one.event for one in log}
    return [
        LogEntryData.of(
            one.event,
            seq=one.seq,
            recorded=one.recorded,
            ops=one.event.body.get("ops", ()),
            text=event_text(moment, one.event, known),
            undone=one.event.kind is not EventKind.UNDONE and struck.what_stands(one.event) is None,
        )
        for one in (log[-last:] if last else log)
    ]
