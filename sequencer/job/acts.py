"""What can happen at a job: each act is judged against the moment, and drafts the events that it comes to."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from sequencer.errors import SequencerError
from sequencer.job.choosing import ChoiceError, Selection, chosen, numbers_text, selected
from sequencer.job.closing import Told, heard
from sequencer.job.curing import check_cured
from sequencer.job.events import EventKind
from sequencer.job.gates import back_faults, gate_faults, gate_joint, the_gate
from sequencer.job.moment import Moment, Sight
from sequencer.job.state import Tick
from sequencer.machine.model import Joint
from sequencer.plan.present import Direction

LONG_HOURS = 4
"""Nobody is at one step for so long: the clock was forgotten."""


class RefusedError(SequencerError):
    """What can't be now, as the job stands; nothing was written."""


@dataclass(frozen=True)
class By:
    """Who says it, on which device, when (None: now), and the id that makes it one act however often sent."""

    person: str = ""
    device: str = ""
    time: datetime | None = None
    id: str | None = None


@dataclass(frozen=True)
class Said:
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


Act = Callable[[Moment, By], Draft]
"""Judges what is to happen at a moment. Raises ``RefusedError`` where it can't be."""


def done(selection: Selection | None, told: Told, anyway: str | None) -> Act:
    """Tick steps, with what was read off at the last of them."""

    def act(moment: Moment, by: By) -> Draft:
        draft = Draft()
        wanted = _meant(moment, selection, draft) if selection is not None else _whole_station(moment, by)
        fresh = _not_yet(moment, wanted, draft)
        _check_possible(moment, fresh, anyway)
        if not anyway:
            check_cured(moment, fresh, by.time or datetime.now(UTC))
        gate = the_gate(moment, wanted) if told.at_gate else None
        joint = gate_joint(moment, gate) if gate and moment.state.turned else None
        if gate and joint:
            _read(draft, moment, gate, joint, fresh, told, by, anyway)
            return draft
        _check_gates(moment, fresh, told, anyway)
        _tick(draft, moment, by, fresh, anyway)
        if readings := told.readings:
            _torque_read(readings)
            draft.add(EventKind.MEASURED, {"op": wanted[-1], **readings})
            draft.words.append(f"kept {_row(readings)}")
        return draft

    return act


def _tick(draft: Draft, moment: Moment, by: By, fresh: tuple[str, ...], anyway: str | None) -> None:
    if fresh:
        draft.add(EventKind.DONE, {"ops": list(fresh), "anyway": anyway})
        draft.ops, draft.at_any_rate = fresh, True
        draft.anew = bool(anyway) and moment.present.direction is Direction.APART
        draft.words.insert(0, f"ticked {steps_text(moment, fresh)}")
        draft.words += _of_the_clock(moment, by)


def _read(
    draft: Draft,
    moment: Moment,
    gate: str,
    joint: Joint,
    fresh: tuple[str, ...],
    told: Told,
    by: By,
    anyway: str | None,
) -> None:
    """A reading at a gate: it stays whatever it says; the gate is ticked once nothing is lacking."""
    day = (by.time or datetime.now(UTC)).astimezone().date()
    found = heard(moment, joint, told, day)
    if found.lacks and not found.problem and not anyway and len(fresh) > 1:
        raise RefusedError(
            f"{gate} stays open after this: {found.lacks}",
            "say it by itself, without other steps",
            code="one-reading",
        )
    if anyway or not (found.lacks or found.problem):
        _tick(draft, moment, by, fresh, anyway)
    draft.add(EventKind.MEASURED, {"op": gate, **found.body})
    draft.words += found.words
    if anyway:
        return
    if found.problem:
        draft.refusal = RefusedError(
            f"the gate stays open: {gate}: {found.problem}" if gate in fresh else found.problem,
            f"the reading stays in the record; read it again: done {moment.state.number(gate)} --torque "
            "READING; or close it with --anyway and a reason",
            code="gate-open",
        )
    elif found.lacks and gate in fresh:
        draft.words.append(f"the gate stays open; still to come: {found.lacks}")


def _of_the_clock(moment: Moment, by: By) -> list[str]:
    """What the person should know of the time that this tick comes to."""
    state = moment.state
    if state.running is None:
        return ["the clock was not running: it runs from now on"]
    own = [spell.ended for spell in state.spells if spell.person == by.person]
    hours = ((by.time or datetime.now(UTC)) - max([state.running, *own])).total_seconds() / 3600
    if hours < LONG_HOURS:
        return []
    return [f"the clock ran for {hours:.0f} h before this: a forgotten stop does not count for your pace"]


def skip(selection: Selection, why: str) -> Act:
    """Leave steps out, with the reason."""

    def act(moment: Moment, _by: By) -> Draft:
        if not why.strip():
            raise RefusedError(
                "a step is skipped for a reason", "say why: skip 5 'was not fitted'", code="no-reason"
            )
        draft = Draft()
        fresh = _not_yet(moment, _meant(moment, selection, draft), draft)
        if fresh:
            draft.add(EventKind.SKIPPED, {"ops": list(fresh), "why": why.strip()})
            draft.ops = fresh
            draft.anew = moment.present.direction is Direction.APART
            draft.words.insert(0, f"skipped {steps_text(moment, fresh)}: {why.strip()}")
        return draft

    return act


def note(text: str, step: Selection | None) -> Act:
    """Keep a note."""

    def act(moment: Moment, _by: By) -> Draft:
        if not text.strip():
            raise RefusedError("the note is empty", "say what is to be kept")
        draft, op = Draft(), step_of(moment, step)
        draft.add(EventKind.NOTE, {"text": text.strip(), "op": op})
        draft.words.append(f"noted{f' at {steps_text(moment, (op,))}' if op else ''}")
        return draft

    return act


def measured(step: Selection, readings: Mapping[str, str]) -> Act:
    """Keep a reading."""

    def act(moment: Moment, _by: By) -> Draft:
        given = Told(readings.get("torque"), readings.get("angle"), readings.get("wear"))
        told, op = given.readings, step_of(moment, step)
        if not told:
            raise RefusedError("there is no reading", "give a torque, an angle or a wear")
        if op and gate_joint(moment, op):
            raise RefusedError(
                f"{op} is a gate: what is read there is judged as it is ticked",
                f"done {moment.state.number(op)} --torque READING",
                code="gate-open",
            )
        _torque_read(told)
        draft = Draft()
        draft.add(EventKind.MEASURED, {"op": op, **told})
        draft.words.append(f"kept {_row(told)}")
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


def stop(why: str) -> Act:
    """Stop the clock."""

    def act(moment: Moment, _by: By) -> Draft:
        draft = Draft()
        if moment.state.running is None:
            draft.words.append("the clock stands already")
            return draft
        draft.add(EventKind.STOPPED, {"why": why.strip()})
        draft.words.append("stopped")
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
        draft.words.append("the clock runs")
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
    """``step 3, undo guard/screws`` or ``steps 3-6``; operations outside the plan by their names."""
    numbers = [number for op in ops if (number := moment.state.number(op)) is not None]
    strange = [op for op in ops if moment.state.number(op) is None]
    if len(ops) == 1:
        return f"step {numbers[0]}, {ops[0]}" if numbers else ops[0]
    pieces = [f"steps {numbers_text(numbers)}"] if numbers else []
    return ", ".join([*pieces, *strange])


def _meant(moment: Moment, selection: Selection, draft: Draft) -> tuple[str, ...]:
    """The operations that are meant; the steps of a range that are superseded are passed over, and said."""
    choice = selected(moment, selection)
    if choice.passed:
        count = len(choice.passed)
        which = f"step{'s' * (count > 1)} {numbers_text(list(choice.passed))}"
        draft.words.append(f"{which} passed over: in the plan no more")
    return choice.ops


def _whole_station(moment: Moment, by: By) -> tuple[str, ...]:
    """The next station's steps, unless somebody else has ticked since: then it may be another than meant."""
    station = moment.station
    if station is None:
        raise RefusedError("there is nothing left to tick", "see status", code="nothing-left")
    ops = tuple(step.operation.name for step in station.steps)
    last = next(reversed(tuple(moment.state.ticks.values())), None)
    if last is not None and last.device != by.device:
        numbers = numbers_text([step.number for step in station.steps])
        raise RefusedError(
            f"the last tick came from {last.device or 'another device'} ({last.person or 'somebody'}), "
            f"so the station that you saw may be done; next is {numbers}",
            f"say the numbers: done {numbers}",
            code="other-device",
        )
    return ops


def _not_yet(moment: Moment, wanted: Sequence[str], draft: Draft) -> tuple[str, ...]:
    """What of ``wanted`` is not ticked; who ticked the rest, and when, is said."""
    fresh = []
    for op in wanted:
        tick = moment.state.ticks.get(op)
        if tick is None:
            fresh.append(op)
        else:
            draft.words.append(f"{steps_text(moment, (op,))}, was ticked already {who_when(tick)}")
    return tuple(fresh)


def who_when(tick: Tick) -> str:
    """``by Ann at 10:02``, in the local time of whoever reads it; another day than today with its date."""
    time = tick.time.astimezone()
    day = "" if time.date() == datetime.now().astimezone().date() else f"on {time:%Y-%m-%d} "
    return f"{f'by {tick.person} ' if tick.person else ''}{day}at {time:%H:%M}"


def _check_possible(moment: Moment, ops: Sequence[str], anyway: str | None) -> None:
    if moment.present.direction is Direction.TOGETHER:
        faults = back_faults(moment, ops)
        if faults and not anyway:
            raise RefusedError(
                "; ".join(faults),
                "do that first; if it is really done, say so with --anyway and the reason",
                code="not-yet",
                first="that",
            )
        return
    present = moment.present
    for op in ops:
        if op not in moment.whole.operations:
            raise ChoiceError(
                f"the machine has nothing like {op!r}", "see next for the steps", code="no-step"
            )
        if op in present.skipped:
            present = replace(present, skipped={k: v for k, v in present.skipped.items() if k != op})
        reasons = moment.why_not(op, present)
        if reasons and not anyway:
            first = steps_text(moment, moment.waits_for(op, present))
            raise RefusedError(
                f"{steps_text(moment, (op,))}, can't be done yet: {'; '.join(map(str, reasons))}",
                f"{f'first comes {first}' if first else 'do that first'}; if it is really done, say so with "
                "--anyway and the reason",
                code="not-yet",
                first=first or "that",
            )
        present = present.after(moment.whole, op)


def _check_gates(moment: Moment, ops: Sequence[str], told: Told, anyway: str | None) -> None:
    """A gate takes readings that hold, or a reason, which then stays in the torque record."""
    if anyway or moment.present.direction is not Direction.TOGETHER:
        return
    faults = gate_faults(moment, ops, read=told.at_gate)
    if faults:
        number = moment.state.number(the_gate(moment, ops) or faults[0].partition(":")[0])
        raise RefusedError(
            f"the gate stays open: {'; '.join(faults)}",
            f"say what was read, with its unit: done {number} --torque READING; or close it with --anyway "
            "and a reason",
            code="gate-open",
        )


def _torque_read(readings: Mapping[str, str]) -> None:
    """Refuse what is no torque.

    Raises:
        QuantityError: It has no unit, or is none.
    """
    if "torque" in readings:
        from sequencer.quantities import parse_torque

        parse_torque(readings["torque"])


def _row(readings: Mapping[str, str]) -> str:
    return ", ".join(f"{what} {value}" for what, value in readings.items())
