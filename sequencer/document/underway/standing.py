"""The job at a glance: how far it is, what is off, open and in bags, and whether it may be left so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sequencer.document.blocks import Block, Fields, Para, Span, Tone, Words
from sequencer.document.evenings.leaving import leaving_document
from sequencer.document.hours import hours_words
from sequencer.document.jobs.open_ends import open_ends, out_of_reach, stands_open
from sequencer.document.jobs.record import torque_lines
from sequencer.document.plans.plan import aims_of
from sequencer.document.underway.going_on import STUCK
from sequencer.document.words import duration, plural
from sequencer.graph.said import part_words, path_words, sentence
from sequencer.job.changes.bare import to_tell
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import JobStatus
from sequencer.machine.called import name_of
from sequencer.plan.plan import Refit
from sequencer.wording import capital, listing

if TYPE_CHECKING:
    from sequencer.job.journal.state import Tick
    from sequencer.machine.model import Machine

_NAMES = 10
"""Signs that the names of its rows have room for, so that they stand in one line from day to day."""


def status_document(told: JobStatus, moment: Moment) -> Iterator[Block]:
    """The job at a glance."""
    yield Para(told.title, Tone.STRONG)
    yield Para(f"{aims_of(moment.plan)}: {_way(moment)}, {_far(told, moment)}.")
    if not to_tell(moment):
        yield Para(_time_left(told, moment))
    if told.worked_seconds:
        yield Para(f"Worked, up to the last entry: {duration(told.worked_seconds)}.")
    yield Fields((*_rows(told, moment).items(), *_minded(told, moment)), apart=True, names=_NAMES)
    yield from leaving_document(told.leaving, moment.machine)


def _minded(told: JobStatus, moment: Moment) -> Iterator[tuple[str, Words]]:
    """What must not be passed over, and what was not done as the file has it."""
    yield from (("Mind", _alert(f"{line}.")) for line in open_ends(moment))
    yield from (("Torque", _alert(line)) for line in torque_lines(moment))
    yield from (("Skipped", f"{_said(moment, tick)}: {tick.why}") for tick in told.skipped)
    for tick in told.anyway:
        yield "Anyway", f"{_said(moment, tick)}, against the file: {tick.anyway}"
    if told.unread:
        unread = plural(told.unread, "event")
        yield "Left out", _alert(f"{unread} in the journal that this program can't read: see log")


def _alert(line: str) -> Words:
    return (Span(line, Tone.ALERT),)


def _way(moment: Moment) -> str:
    return "the way back" if isinstance(moment.plan, Refit) else "the way in"


def _far(told: JobStatus, moment: Moment) -> str:
    if to_tell(moment):
        return f"{plural(told.done, 'step')} done; no machine file says how many are left"
    skipped = f", {len(told.skipped)} skipped" if told.skipped else ""
    return f"{told.done} of {plural(told.steps, 'step')} done{skipped}"


def _time_left(told: JobStatus, moment: Moment) -> str:
    if told.hours is None:
        return STUCK if out_of_reach(moment) else "Nothing is left to do."
    left = f"Left: {hours_words(told.hours)}; {duration(told.planned_seconds)} by the file's times."
    if told.pace is None:
        return left
    who = f"{capital(told.pace.person)}'s" if told.pace.person else "Your"
    return f"{left} {who} pace so far: {told.pace.factor:.1f} × the plan, {plural(told.pace.steps, 'step')}."


def _rows(told: JobStatus, moment: Moment) -> dict[str, str]:
    machine = moment.machine
    rows = {
        "Open gates": listing(_joints(machine, told.gates)),
        "No torque": _figures(machine, told.figures),
        "Off": listing(part_words(machine, part) for part in told.off),
        "Only moved": listing(part_words(machine, part) for part in told.moved),
        "Drained": listing(name_of(name, machine.fluids[name].label) for name in told.fluids),
        "Open": listing(stands_open(machine, path) for path in told.openings),
        "In bags": "; ".join(f"{bag.number} {_joints(machine, [bag.joint])[0]}" for bag in told.bags),
        "Clock": "running" if told.running else "stopped",
    }
    return {word: text for word, text in rows.items() if text}


def _figures(machine: Machine, paths: Sequence[str]) -> str:
    """The joints of which nobody has said the torque, and what to say."""
    if not paths:
        return ""
    return f'nobody has said it: {listing(_joints(machine, paths))}; say it: torque "…" 10 N.m "manual p. 12"'


def _joints(machine: Machine, paths: Sequence[str]) -> list[str]:
    return [path_words(machine, path) for path in paths]


def _said(moment: Moment, tick: Tick) -> str:
    operation = moment.operations.get(tick.op)
    says = sentence(moment.machine, operation) if operation else tick.op
    return f"{tick.number}  {says}" if tick.number is not None else says
