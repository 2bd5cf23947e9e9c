"""Ticking steps and leaving them out: whether each can be, and what was read at it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime

from sequencer.graph.operations import Op, Reason
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import (
    Act,
    By,
    Draft,
    RefusedError,
    readings_row,
    steps_text,
    torque_read,
    who_when,
)
from sequencer.job.now.choosing import ChoiceError, Selection, numbers_text, selected
from sequencer.job.now.closing import TypedReading, heard
from sequencer.job.now.gates import back_faults, gate_faults, gate_joint, is_open, the_gate
from sequencer.job.now.moment import Moment
from sequencer.job.work.curing import check_cured
from sequencer.job.work.figure_open import by_hand, figure_told, refuse_open, stay_open
from sequencer.job.work.figure_words import is_by_hand
from sequencer.machine.model import Joint
from sequencer.plan.onward.present import Direction

LONG_HOURS = 4
"""Nobody is at one step for so long: the clock was forgotten."""

STARTED = "the clock was stopped; started now"
"""What a tick says where nobody had started the clock; who ticks and stops at once is not told."""


def done(selection: Selection | None, told: TypedReading, anyway: str | None) -> Act:
    """Tick steps, with what was read off at the last of them."""

    def act(moment: Moment, by: By) -> Draft:
        draft = Draft()
        wanted = _meant(moment, selection, draft) if selection is not None else _whole_station(moment, by)
        fresh = _not_yet(moment, wanted, draft)
        _check_possible(moment, fresh, anyway)
        if not anyway:
            _check_prepared(moment, fresh, told)
            check_cured(moment, fresh, by.time or datetime.now(UTC))
        if told.torque and is_by_hand(told.torque):
            _tick(draft, moment, by, fresh, told, None, by_hand(moment, fresh, told))
            return draft
        gate = the_gate(moment, wanted) if told.at_gate else None
        joint = gate_joint(moment, gate) if gate and moment.state.turned else None
        if gate and is_open(joint) and not anyway:
            joint = figure_told(draft, joint, told)
        if gate and joint:
            _read(draft, moment, gate, joint, fresh, told, by, anyway)
            return draft
        _check_gates(moment, fresh, told, anyway)
        _tick(draft, moment, by, fresh, told, anyway)
        if readings := told.readings:
            torque_read(readings)
            draft.add(EventKind.MEASURED, {"op": wanted[-1], **readings})
            draft.words.append(f"kept {readings_row(readings)}")
        return draft

    return act


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


def _tick(
    draft: Draft,
    moment: Moment,
    by: By,
    fresh: tuple[str, ...],
    told: TypedReading,
    anyway: str | None,
    besides: Mapping[str, object] | None = None,
) -> None:
    if fresh:
        prepared = [text for text in _listed(moment, fresh) if _is_prepared(told, text)]
        body = {"ops": list(fresh), "anyway": anyway, "prepared": prepared or None, **(besides or {})}
        draft.add(EventKind.DONE, body)
        draft.ops, draft.at_any_rate = fresh, True
        draft.anew = bool(anyway) and moment.present.direction is Direction.APART
        draft.words.insert(0, f"ticked {steps_text(moment, fresh)}")
        draft.words += of_the_clock(moment, by)


def _read(
    draft: Draft,
    moment: Moment,
    gate: str,
    joint: Joint,
    fresh: tuple[str, ...],
    told: TypedReading,
    by: By,
    anyway: str | None,
) -> None:
    """A reading at a gate: it stays whatever it says; the gate is ticked once nothing is lacking."""
    day = (by.time or datetime.now(UTC)).astimezone().date()
    if anyway and not told.wrench:
        told = replace(told, box=None)  # what is closed against the figure claims no wrench that nobody named
    found = heard(moment, joint, told, day)
    if found.lacks and not found.problem and not anyway and len(fresh) > 1:
        raise RefusedError(
            f"{gate} stays open after this: {found.lacks}",
            "say it by itself, without other steps",
            code="one-reading",
        )
    if anyway or not (found.lacks or found.problem):
        _tick(draft, moment, by, fresh, told, anyway)
    draft.add(EventKind.MEASURED, {"op": gate, **found.body})
    draft.words += found.words
    if anyway:
        return
    if found.problem:
        draft.refusal = RefusedError(
            stay_open(moment, {gate: found.problem}) if gate in fresh else found.problem,
            f"the reading stays in the record; read it again: done {moment.state.number(gate)} --torque "
            "READING; or close it with --anyway and a reason",
            code="gate-open",
        )
    elif found.lacks and gate in fresh:
        draft.words.append(f"the gate stays open; still to come: {found.lacks}")


def of_the_clock(moment: Moment, by: By) -> list[str]:
    """What the person should know of the time that this tick comes to."""
    state = moment.state
    if state.running is None:
        return [STARTED]
    own = [spell.ended for spell in state.spells if spell.person == by.person]
    hours = ((by.time or datetime.now(UTC)) - max([state.running, *own])).total_seconds() / 3600
    if hours < LONG_HOURS:
        return []
    return [f"the clock ran for {hours:.0f} h before this: a forgotten stop does not count for your pace"]


def _meant(moment: Moment, selection: Selection, draft: Draft) -> tuple[str, ...]:
    """The operations that are meant; the steps of a range that are superseded are passed over, and said."""
    choice = selected(moment, selection)
    if choice.passed:
        count = len(choice.passed)
        which = f"step{'s' * (count > 1)} {numbers_text(list(choice.passed))}"
        draft.words.append(f"{which} passed over: no longer in the plan")
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
        tick = moment.state.ticks.get(Op(op))
        if tick is None:
            fresh.append(op)
        else:
            draft.words.append(f"{steps_text(moment, (op,))}, was ticked already {who_when(tick)}")
    return tuple(fresh)


def _check_possible(moment: Moment, ops: Sequence[str], anyway: str | None) -> None:
    if moment.present.direction is Direction.TOGETHER:
        faults = back_faults(moment, ops)
        if faults and not anyway:
            raise RefusedError(
                "; ".join(_cant_yet(moment, op, reasons) for op, reasons in faults),
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
            awaited = moment.waits_for(op, present)
            first = steps_text(moment, awaited)
            come = "comes" if len(awaited) == 1 else "come"
            raise RefusedError(
                _cant_yet(moment, op, reasons),
                f"{f'first {come} {first}' if first else 'do that first'}; if it is really done, say so with "
                "--anyway and the reason",
                code="not-yet",
                first=first or "that",
            )
        present = present.after(moment.whole, op)


def _cant_yet(moment: Moment, op: str, reasons: Iterable[Reason]) -> str:
    return f"{steps_text(moment, (op,))}, can't be done yet: {'; '.join(map(str, reasons))}"


def _listed(moment: Moment, ops: Sequence[str]) -> list[str]:
    """What is on the bench lists of the parts that these steps are the first to touch."""
    lists = moment.bench_lists(ops)
    return [text for op in ops for text in lists.get(op, ())]


def _is_prepared(told: TypedReading, text: str) -> bool:
    return told.prepared is True or (told.prepared is not False and text in told.prepared)


def _check_prepared(moment: Moment, ops: Sequence[str], told: TypedReading) -> None:
    """A part is sealed and fitted once all of its bench list is ticked."""
    lists = moment.bench_lists(ops)
    for op in ops:
        lacking = [text for text in lists.get(op, ()) if not _is_prepared(told, text)]
        if lacking:
            raise RefusedError(
                f"{steps_text(moment, (op,))}, comes after its bench list: {'; '.join(lacking)}",
                f"do that, and say so: done {moment.state.number(op)} --prepared",
                code="not-prepared",
                items=tuple(lacking),
            )


def _check_gates(moment: Moment, ops: Sequence[str], told: TypedReading, anyway: str | None) -> None:
    """A gate takes readings that hold, or a reason, which then stays in the torque record."""
    if anyway or moment.present.direction is not Direction.TOGETHER:
        return
    faults = gate_faults(moment, ops, read=told.at_gate)
    if faults:
        refuse_open(moment, ops, faults)
        number = moment.state.number(the_gate(moment, ops) or next(iter(faults)))
        raise RefusedError(
            stay_open(moment, faults),
            f"enter the reading with its unit: done {number} --torque READING; or close it with --anyway "
            "and a reason",
            code="gate-open",
        )
