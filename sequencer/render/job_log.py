"""The journal as lines, and chapters."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

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
from sequencer.render.lines import hanging
from sequencer.wording import and_more, listing

if TYPE_CHECKING:
    from rich.console import Console

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


def print_log(moment: Moment, log: Sequence[Recorded], console: Console, last: int | None = None) -> None:
    """Each event on a line, the oldest first; what was taken back is said to be. ``last``: only so many."""
    struck, known = Struck.of(log), {one.event.id: one.event for one in log}
    day = ""
    for one in log[-last:] if last else log:
        event = one.event
        local = event.time.astimezone()
        if (today := f"{local:%Y-%m-%d}") != day:
            day = today
            hanging(console, day, style="bold")
        gone = event.kind is not EventKind.UNDONE and struck.what_stands(event) is None
        who = clean(event.person) or "?"
        mark = " (taken back)" if gone else ""
        text = event_text(moment, event, known)
        hanging(
            console,
            f"{event.kind.value}{mark}{f': {text}' if text else ''}  {event.id[:8]}",
            lead=f"{local:%H:%M:%S}  {who}  ",
            hang=10,
            style="dim" if gone else "",
        )


def print_chapters(moment: Moment, found: Sequence[Chapter], console: Console) -> None:
    """A time code and a title for each station, ready to paste under a film."""
    machine = moment.machine
    for chapter in found:
        first = moment.operations[chapter.ops[0]]
        where = clean(machine.positions[chapter.position].label)
        says = clean(sentence(machine, first, volume=False))
        title = f"{says}{and_more(len(chapter.ops) - 1)} ({where}, {tool_words(machine, chapter.tool)})"
        console.print(f"{time_code(chapter.start)} {title}", soft_wrap=True)


def time_code(start: timedelta) -> str:
    """``0:04:09``: hours, minutes, seconds."""
    minutes, seconds = divmod(int(start.total_seconds()), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"
