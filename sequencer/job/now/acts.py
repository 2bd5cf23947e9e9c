"""What can happen at a job: each act is judged against the moment, and drafts the events that it comes to."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sequencer.errors import SequencerError
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.state import Tick
from sequencer.job.now.choosing import ChoiceError, Selection, chosen, numbers_text, op_words
from sequencer.job.now.closing import TypedReading
from sequencer.job.now.gates import gate_joint
from sequencer.job.now.moment import Moment, Sight
from sequencer.machine.called import part_called
from sequencer.plan.looks.looks_kinds import ways_to_look


class RefusedError(SequencerError):
    """What can't be now, as the job stands; nothing was written."""


def refused(fault: SequencerError) -> RefusedError:
    """A fault in what was named, as the refusal of an act."""
    found = RefusedError(fault.problem, fault.remedy)
    found.code, found.facts = fault.code, fault.facts
    return found


@dataclass(frozen=True)
class By:
    """Who says it, on which device, when (None: now), and the id that makes it one act however often sent."""

    person: str = ""
    device: str = ""
    time: datetime | None = None
    id: str | None = None


@dataclass(frozen=True)
class Outcome:
    """What an act came to.

    Attributes:
        events: The ids of the events that were written; the first is the act's own.
        words: What to say to the person, a line each.
        ops: The operations that were ticked, skipped or given back.
        repeated: It had been recorded before, under the same id.
    """

    events: tuple[str, ...]
    words: tuple[str, ...]
    ops: tuple[str, ...] = ()
    repeated: bool = False


@dataclass
class Draft:
    """The events of an act before they are written, and what to say of it.

    ``content`` is the machine file as it is once they are written, and ``sight`` what that says; None: it
    stays. ``anew`` asks for a new plan where the old one would do as well, and ``at_any_rate`` for one that
    gives up what can't be reached any more, for what has happened can't be refused.
    ``refusal`` is raised once they are: what was wanted can't be, and what was seen at it is kept.
    """

    events: list[tuple[EventKind, Mapping[str, Any]]] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    ops: tuple[str, ...] = ()
    content: bytes | None = None
    sight: Sight | None = None
    anew: bool = False
    at_any_rate: bool = False
    refusal: RefusedError | None = None

    def add(self, kind: EventKind, body: Mapping[str, Any]) -> None:
        """Put down one more event; what is None or empty in its body is left out."""
        self.events.append((kind, {key: value for key, value in body.items() if value not in (None, "")}))

    def keep(self, given: Mapping[str, Any]) -> None:
        """Put down what the act gave out, with its last tick; without one, with its last that stands."""
        places = range(len(self.events))
        best = max(places, key=lambda n: (_bears(self.events[n][0]), n))
        kind, body = self.events[best]
        self.events[best] = (
            kind,
            {**body, **{key: {**body.get(key, {}), **new} for key, new in given.items()}},
        )


def _bears(kind: EventKind) -> int:
    return 2 if kind is EventKind.DONE else 0 if kind is EventKind.UNDONE else 1


Act = Callable[[Moment, By], Draft]
"""Judges what is to happen at a moment. Raises ``RefusedError`` where it can't be."""


def note(text: str, step: Selection | None) -> Act:
    """Keep a note."""

    def act(moment: Moment, _by: By) -> Draft:
        if not text.strip():
            raise RefusedError("the note is empty", "write what to keep")
        draft, op = Draft(), step_of(moment, step)
        draft.add(EventKind.NOTE, {"text": text.strip(), "op": op})
        draft.words.append(f"noted{f' at {steps_text(moment, (op,))}' if op else ''}")
        return draft

    return act


def looked(part: str, by: str, showed: str | None) -> Act:
    """Keep a look at a part; ``showed`` is what it showed, None where that was nothing."""

    def act(moment: Moment, _by: By) -> Draft:
        name = part_called(moment.machine, part)
        if by not in ways_to_look():
            raise RefusedError(f"nobody looks by {by!r}", f"say what by: {', '.join(ways_to_look())}")
        if showed is not None and not showed.strip():
            raise RefusedError("what the look showed is empty", "say what it showed, or leave it out")
        draft = Draft()
        draft.add(EventKind.LOOKED, {"part": name, "by": by, "showed": showed and showed.strip()})
        draft.words.append(f"looked at {name}, by {by}: {showed or 'nothing seen'}")
        return draft

    return act


def measured(step: Selection, readings: Mapping[str, str]) -> Act:
    """Keep a reading."""

    def act(moment: Moment, _by: By) -> Draft:
        given = TypedReading(readings.get("torque"), readings.get("angle"), readings.get("wear"))
        told, op = given.readings, step_of(moment, step)
        if not told:
            raise RefusedError("there is no reading", "give a torque, an angle or a wear")
        if op and gate_joint(moment, op):
            raise RefusedError(
                f"{op} is a gate: what is read there is judged as it is ticked",
                f"done {moment.state.number(op)} --torque READING",
                code="gate-open",
            )
        torque_read(told)
        draft = Draft()
        draft.add(EventKind.MEASURED, {"op": op, **told})
        draft.words.append(f"kept {readings_row(told)}")
        return draft

    return act


def photo(step: Selection | None, file: str, text: str) -> Act:
    """Keep a photo that lies in the folder already."""

    def act(moment: Moment, _by: By) -> Draft:
        draft, op = Draft(), step_of(moment, step)
        draft.add(EventKind.PHOTO, {"file": file, "op": op, "text": text.strip()})
        draft.words.append(f"photo kept{f' at {steps_text(moment, (op,))}' if op else ''}")
        return draft

    return act


def resume() -> Act:
    """Start the clock."""

    def act(moment: Moment, _by: By) -> Draft:
        draft = Draft()
        if moment.state.running is not None:
            draft.words.append("the clock is running already")
            return draft
        first = not moment.state.started
        draft.add(EventKind.STARTED if first else EventKind.RESUMED, {})
        draft.words.append("clock started")
        return draft

    return act


def identity_of(by: By) -> str:
    """The id of an act: the writer's own, or a fresh one.

    Raises:
        RefusedError: The writer's id is no UUID.
    """
    if by.id is None:
        return str(uuid.uuid4())
    try:
        return str(uuid.UUID(by.id))
    except (ValueError, AttributeError):
        raise RefusedError(f"{by.id!r} is not the id of an act", "give each act a UUID") from None


def step_of(moment: Moment, step: Selection | None) -> str | None:
    """The one operation that ``step`` means; None for none."""
    if step is None:
        return None
    ops = chosen(moment, step)
    if len(ops) != 1:
        raise ChoiceError(f"{step} are several steps", "name one")
    return ops[0]


def steps_text(moment: Moment, ops: Sequence[str]) -> str:
    """``step 3, Undo Belt guard: screws`` or ``steps 3-6``; what is in no plan by its words alone."""
    numbers = [number for op in ops if (number := moment.state.number(op)) is not None]
    if len(ops) == 1:
        words = op_words(moment, ops[0])
        return f"step {numbers[0]}, {words}" if numbers else words
    pieces = [f"steps {numbers_text(numbers)}"] if numbers else []
    return ", ".join([*pieces, *(op_words(moment, op) for op in ops if moment.state.number(op) is None)])


def who_when(tick: Tick) -> str:
    """``by Ann at 10:02``, in the local time of whoever reads it; another day than today with its date."""
    time = tick.time.astimezone()
    day = "" if time.date() == datetime.now().astimezone().date() else f"on {time:%Y-%m-%d} "
    return f"{f'by {tick.person} ' if tick.person else ''}{day}at {time:%H:%M}"


def torque_read(readings: Mapping[str, str]) -> None:
    """Refuse what is no torque.

    Raises:
        QuantityError: It has no unit, or is none.
    """
    if "torque" in readings:
        from sequencer.quantities import parse_torque

        parse_torque(readings["torque"])


def readings_row(readings: Mapping[str, str]) -> str:
    """``torque 40 N.m, wear 0.2 mm``: readings on a line."""
    return ", ".join(f"{what} {value}" for what, value in readings.items())
