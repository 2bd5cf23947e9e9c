"""State is replayed from the events, never stored beside them.

What an ``undone`` event takes back is left out of the replay, with whatever came along with it. An ``undone``
that is taken back itself does nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sequencer.graph.operations import Op
from sequencer.job.journal.edits import EDITS
from sequencer.job.journal.events import Event, EventKind, Recorded
from sequencer.job.journal.state import ALONG, BackwardClock, JobState, Spell, Tick


@dataclass(frozen=True)
class Struck:
    """What has been taken back: whole events by id, and single operations of others."""

    events: frozenset[str]
    operations: Mapping[str, frozenset[str]]

    @classmethod
    def of(cls, events: Sequence[Recorded]) -> Struck:
        """Read from the last ``undone`` to the first: one that is taken back itself does nothing."""
        whole: set[str] = set()
        some: dict[str, set[str]] = {}
        for recorded in reversed(events):
            event = recorded.event
            if event.kind is not EventKind.UNDONE or not {event.id, event.body.get(ALONG)}.isdisjoint(whole):
                continue
            if ops := event.body.get("ops"):
                some.setdefault(str(event.body["event"]), set()).update(ops)
            else:
                whole.add(str(event.body["event"]))
        for recorded in events:
            along = recorded.event.body.get(ALONG)
            if along is None:
                continue
            if along in whole or recorded.event.body.get("op") in some.get(along, ()):
                whole.add(recorded.event.id)
        return cls(frozenset(whole), {event: frozenset(ops) for event, ops in some.items()})

    def what_stands(self, event: Event) -> Event | None:
        """The event with what still stands of it; None when nothing does."""
        if event.kind is EventKind.UNDONE or event.id in self.events:
            return None
        gone = self.operations.get(event.id)
        if gone is None:
            return event
        ops = [op for op in event.body.get("ops", ()) if op not in gone]
        if not ops:
            return None
        return Event(event.kind, {**event.body, "ops": ops}, event.person, event.device, event.time, event.id)


class Replay:
    """Folds events into a state, one after the other. It keeps them, so that an undo can start it anew."""

    def __init__(self) -> None:
        self._events: list[Recorded] = []
        self._snapshot: JobState | None = None
        self._clear()

    @property
    def seq(self) -> int:
        """The number of the last event that was taken in."""
        return self._events[-1].seq if self._events else 0

    @property
    def events(self) -> Sequence[Recorded]:
        """All events, those that were taken back included."""
        return self._events

    @property
    def standing(self) -> set[str]:
        """The ids of the events that have not been taken back."""
        return {one.event.id for kept in self._kept.values() for one in kept}

    @property
    def changes(self) -> list[tuple[Event, bool]]:
        """The events that change the machine file, each with whether it stands."""
        standing = self.standing
        return [(one.event, one.event.id in standing) for one in self._events if EDITS in one.event.body]

    @property
    def file(self) -> str | None:
        """The digest that the machine file has by the last event that tells it; None: it changed since."""
        standing = self.standing
        carrying = {event.id for event, _ in self.changes}
        for one in reversed(self._events):
            body = one.event.body
            if one.event.kind is EventKind.UNDONE and str(body["event"]) in carrying:
                return None
            if "file" in body and one.event.kind is not EventKind.PHOTO and one.event.id in standing:
                return str(body["file"])
        return None

    @property
    def text(self) -> str | None:
        """The machine file as the journal has it in full; what acts changed in it since, ``changes`` tell."""
        texts = self._kept.get(EventKind.MACHINE, ())
        return str(texts[-1].event.body["text"]) if texts else None

    def ahead(self, events: Iterable[Event]) -> Replay:
        """A replay that has taken in these events as well, as if they were in the journal already."""
        other = copy(self)
        for name, value in vars(self).items():
            if isinstance(value, list | dict):
                setattr(other, name, value.copy())
        for kind, kept in self._kept.items():
            vars(other)["_kept"][kind] = kept.copy()
        now = datetime.now(UTC)
        other.take(Recorded(other.seq + place, event, now) for place, event in enumerate(events, start=1))
        return other

    def take(self, events: Iterable[Recorded]) -> None:
        """Take in further events, in order."""
        fresh = list(events)
        if not fresh:
            return
        self._events += fresh
        self._snapshot = None
        if any(one.event.kind is EventKind.UNDONE for one in fresh):
            self._clear()
            struck = Struck.of(self._events)
            for one in self._events:
                if (stands := struck.what_stands(one.event)) is not None:
                    self._apply(Recorded(one.seq, stands, one.recorded))
        else:
            for one in fresh:
                self._apply(one)

    def state(self) -> JobState:
        """The state after the last event."""
        if self._snapshot is None:
            self._snapshot = JobState(
                seq=self.seq,
                steps=self._steps,
                ticks=dict(self._ticks),
                done=tuple(self._apart),
                skipped=dict(self._skipped),
                ticked=tuple(self._ticked),
                spells=tuple(self._spells),
                kept={kind: tuple(events) for kind, events in self._kept.items()},
                turned=self._turned,
                running=self._running,
                worked=self._worked + self._open_seconds(),
                backward=tuple(self._backward),
                last=self._events[-1] if self._events else None,
                history=tuple(self._events),
            )
        return self._snapshot

    def _clear(self) -> None:
        self._steps: tuple[tuple[int, Op], ...] = ()
        self._numbers: dict[Op, int] = {}
        self._ticks: dict[Op, Tick] = {}
        self._apart: dict[Op, Tick] = {}
        """The ticks of the way in."""
        self._skipped: dict[Op, Tick] = {}
        self._ticked: list[Tick] = []
        self._spells: list[Spell] = []
        self._kept: dict[EventKind, list[Recorded]] = {}
        self._turned = False
        self._running: datetime | None = None
        self._stood: datetime | None = None
        self._worked = 0.0
        self._latest: datetime | None = None
        self._since: dict[str, datetime] = {}
        self._clocks: dict[str, datetime] = {}
        self._backward: list[BackwardClock] = []

    def _apply(self, recorded: Recorded) -> None:
        event = recorded.event
        self._kept.setdefault(event.kind, []).append(recorded)
        if event.kind is EventKind.UNKNOWN:
            return
        self._watch_clock(event)
        match event.kind:
            case EventKind.DONE:
                self._tick(event)
            case EventKind.SKIPPED:
                self._skip(event)
            case EventKind.STARTED | EventKind.RESUMED:
                self._run(event)
            case EventKind.STOPPED:
                self._stand(event)
            case EventKind.CHANGED:
                self._plan(event)
            case EventKind.TURNED:
                self._turned = event.body.get("direction", "reassembly") == "reassembly"
                for op in event.body.get("anew", ()):
                    left_out = self._skipped.pop(op, None)
                    tick = self._ticks.pop(op, None) or left_out
                    if tick is None or not tick.back:
                        self._apart.pop(op, None)
                if not self._turned:
                    self._ticks = dict(self._apart)
                self._plan(event)
            case _:
                pass

    def _plan(self, event: Event) -> None:
        if "steps" in event.body:
            self._steps = tuple((int(number), Op(op)) for number, op in event.body["steps"])
            self._numbers = {op: number for number, op in self._steps}
            if self._turned:
                for op in self._numbers:  # what belongs to both ways is to be done once more
                    for ticked in (self._ticks, self._skipped):
                        if op in ticked and not ticked[op].back:
                            del ticked[op]

    def _tick(self, event: Event) -> None:
        ops = [op for op in map(Op, event.body["ops"]) if op not in self._ticks]
        for op in ops:
            self._ticks[op] = self._made(op, event)
            self._ticked.append(self._ticks[op])
            self._skipped.pop(op, None)
            if not self._turned:
                self._apart[op] = self._ticks[op]
        if ops and "ahead" in event.body:
            self._ticks, self._apart = (
                _put_ahead(one, ops, Op(event.body["ahead"])) for one in (self._ticks, self._apart)
            )
        if not ops or event.body.get("late"):
            return
        began = self._since.get(event.person, self._running)
        if self._running is None:
            began = None
            if self._stood is None or event.time > self._stood:
                # A tick that a device had kept since before the stop does not start the clock again.
                self._running = event.time
        seconds = None if began is None or began > event.time else (event.time - began).total_seconds()
        told = bool(event.body.get("in_words"))
        self._spells.append(Spell(event.id, tuple(ops), event.person, began, event.time, seconds, told))
        self._since[event.person] = event.time

    def _skip(self, event: Event) -> None:
        for op in map(Op, event.body["ops"]):
            if op not in self._ticks:
                self._skipped.setdefault(op, self._made(op, event))

    def _made(self, op: Op, event: Event) -> Tick:
        return Tick(
            op,
            self._numbers.get(op),
            event.id,
            event.time,
            event.person,
            event.device,
            event.body.get("why"),
            event.body.get("anyway"),
            self._turned,
            tuple(event.body.get("prepared", ())),
        )

    def _run(self, event: Event) -> None:
        if self._running is None:
            self._running = event.time
            self._since.clear()
            self._latest = event.time

    def _stand(self, event: Event) -> None:
        self._latest = max(self._latest or event.time, event.time)
        self._worked += self._open_seconds()
        self._running, self._stood = None, event.time
        self._since.clear()

    def _open_seconds(self) -> float:
        """Seconds of the stretch of work that is open now; never less than none."""
        if self._running is None or self._latest is None:
            return 0.0
        return max((self._latest - self._running).total_seconds(), 0.0)

    def _watch_clock(self, event: Event) -> None:
        if self._running is not None:
            self._latest = max(self._latest or event.time, event.time)
        before = self._clocks.get(event.device)
        if before is not None and event.time < before - timedelta(seconds=1):
            gone = (before - event.time).total_seconds()
            self._backward.append(BackwardClock(event.id, event.person, event.device, gone))
        self._clocks[event.device] = event.time


def _put_ahead(ticks: dict[Op, Tick], ops: Sequence[Op], ahead: Op) -> dict[Op, Tick]:
    """What was told after it was done comes before the operation that it was done before."""
    if ahead not in ticks or ahead in ops:
        return ticks
    order = [op for op in ticks if op not in ops]
    place = order.index(ahead)
    return {op: ticks[op] for op in (*order[:place], *(one for one in ops if one in ticks), *order[place:])}
