"""The journal in words: what each event says, all of them in their order, and chapters for a film."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from sequencer.document.blocks import Block, Item, Items, Para, Tone, Verbatim
from sequencer.document.clean import clean
from sequencer.document.words import duration, plural, tool_words
from sequencer.graph.said import sentence
from sequencer.job.journal.events import Event, EventKind, Recorded
from sequencer.job.journal.replay import Struck
from sequencer.job.journal.state import ALONG
from sequencer.job.now.moment import Moment
from sequencer.job.reports.chapters import Chapter
from sequencer.job.work.curing import local_time
from sequencer.job.work.undoing import turned_to
from sequencer.machine.model import Aim, State
from sequencer.wording import and_more, listing

_TOLD = ("text", "why", "anyway", "torque", "angle", "wear", "wrench", "problem", "file", "note")
"""The keys of a body that hold what a person said or read."""


def event_text(moment: Moment, event: Event, known: Mapping[str, Event]) -> str:
    """What an event says, in one line; ``known`` are all events by id, for what one takes back."""
    body = event.body
    ops = [str(op) for op in body.get("ops", ())] or ([str(body["op"])] if body.get("op") else [])
    said = "; ".join(_says(moment, op) for op in ops)
    if event.kind is EventKind.UNDONE:
        why = f" ({body['why']})" if body.get("why") else ""
        return f"{_taken_back(moment, body, said, known)}{why}"
    if event.kind in _IN_WORDS:
        return _IN_WORDS[event.kind](body)
    told = [str(body[key]) for key in _TOLD if body.get(key)]
    if not ops and not told:
        told = [f"{key} {value}" for key, value in body.items() if key != ALONG]
    return ": ".join(piece for piece in (said, "; ".join(told)) if piece)


def _plan(body: Mapping[str, Any]) -> str:
    return ": ".join(filter(None, (f"a plan of {len(body.get('steps', ()))} steps", body.get("why"))))


def _stopped(body: Mapping[str, Any]) -> str:
    left = [str(one).replace("_", " ") for one in body.get("left", ())]
    told = (
        str(body.get("why") or ""),
        f"made safe first, {body['safe']}" if body.get("safe") else "",
        f"not safe to leave: {listing(left)}" if left else "",
    )
    return "; ".join(filter(None, told))


def _evening(body: Mapping[str, Any]) -> str:
    until = str(body.get("until", ""))
    if not until:
        return f"{duration(body['seconds'])} from when the clock is started"
    return f"until {local_time(datetime.fromisoformat(until))}"


def _target(body: Mapping[str, Any]) -> str:
    reach = [f"{one} within reach" for one in body.get("reach", ())]
    return ", ".join([*(_off(str(one)) for one in body.get("off", ())), *reach])


_IN_WORDS: Mapping[EventKind, Callable[[Mapping[str, Any]], str]] = {
    EventKind.CHANGED: _plan,
    EventKind.TURNED: turned_to,
    EventKind.EVENING: _evening,
    EventKind.STOPPED: _stopped,
    EventKind.FOUND: lambda body: "; ".join(str(body[key]) for key in ("what", "note") if body.get(key)),
    EventKind.LOOKED: lambda body: f"{body['part']}, by {body['by']}: {body.get('showed') or 'nothing seen'}",
    EventKind.DID: lambda body: str(body.get("what", "")),
    EventKind.CORRECTED: lambda body: str(body.get("what", "")),
    EventKind.TROUBLE: lambda body: (
        f"{body.get('joint', '')} {body.get('state', '')}; way out: {body.get('way', '')}"
    ),
    EventKind.TARGET: _target,
    EventKind.MACHINE: lambda body: f"the file as it is, {plural(body['text'].count(chr(10)), 'line')}",
    EventKind.UNKNOWN: lambda body: f"{body['kind']}, left out: {body['why']}",
}


def _taken_back(moment: Moment, body: Mapping[str, Any], said: str, known: Mapping[str, Event]) -> str:
    """What an ``undone`` event takes back: some steps of a tick, or all that an event says."""
    event = known.get(str(body["event"]))
    if event is None:
        return "something that this journal does not have"
    if event.kind is EventKind.UNDONE:
        return f"that this was taken back: {_taken_back(moment, event.body, '', known)}"
    text = said or event_text(moment, event, known)
    return f"{event.kind.value}{f' {text}' if text else ''}"


def _off(target: str) -> str:
    return f"{Aim(target).part} {Aim(target).state or State.OFF.word}"


def _says(moment: Moment, op: str) -> str:
    operation = moment.operations.get(op)
    says = sentence(moment.machine, operation) if operation else op
    number = moment.state.number(op)
    return f"{number} {says}" if number is not None else says


def log_document(moment: Moment, log: Sequence[Recorded], last: int | None = None) -> Iterator[Block]:
    """Each event on a line, the oldest first; what was taken back is said to be. ``last``: only so many."""
    struck, known = Struck.of(log), {one.event.id: one.event for one in log}
    day = ""
    for one in log[-last:] if last else log:
        event = one.event
        local = event.time.astimezone()
        if (today := f"{local:%Y-%m-%d}") != day:
            day = today
            yield Para(day, Tone.STRONG)
        gone = event.kind is not EventKind.UNDONE and struck.what_stands(event) is None
        mark = " (taken back)" if gone else ""
        text = event_text(moment, event, known)
        said = f"{event.kind.value}{mark}{f': {text}' if text else ''}"
        words = f"{event.person or '?'}  {said}  {event.id[:8]}"
        yield Items((Item(words, f"{local:%H:%M:%S}", Tone.FAINT if gone else Tone.PLAIN),), marks=8)


def chapters_document(moment: Moment, found: Sequence[Chapter]) -> Iterator[Block]:
    """A time code and a title for each station, ready to paste under a film."""
    yield Verbatim(tuple(f"{time_code(one.start)} {_chapter(moment, one)}" for one in found))


def _chapter(moment: Moment, chapter: Chapter) -> str:
    first = moment.operations[chapter.ops[0]]
    where = clean(moment.machine.positions[chapter.position].label)
    says = clean(sentence(moment.machine, first, volume=False))
    tool = tool_words(moment.machine, chapter.tool)
    return f"{says}{and_more(len(chapter.ops) - 1)} ({where}, {tool})"


def time_code(start: timedelta) -> str:
    """``0:04:09``: hours, minutes, seconds."""
    minutes, seconds = divmod(int(start.total_seconds()), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"
