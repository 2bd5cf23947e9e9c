"""What is curing on a job, until when, and what has to wait for it: told from the journal's times alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sequencer.errors import SequencerError
from sequencer.graph.operations import REACHES, Kind, Op
from sequencer.job.journal.events import Event, EventKind
from sequencer.job.now.acts import steps_text
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Machine, Sealing, Subject
from sequencer.plan.closing.sealing import sealant_on, wetted
from sequencer.plan.plan import Refit

_JOINS = frozenset((Kind.SEAT, Kind.MOVE_BACK, Kind.FIT, Kind.FASTEN, Kind.TIGHTEN))
_OPENS = frozenset(REACHES)


@dataclass(frozen=True)
class Cure:
    """A sealant that was put on and has not been opened again.

    Attributes:
        sealed: What it is on: a part or ``part/joint``.
        label: The sealant, in words.
        source: Where its time is from: ``file`` or ``default``.
        until: When it has cured; None: what it seals is not together yet.
        holds: The steps that wait for it: filling what wets it, and what lets the machine run.
        against: Those of them that were done before it had cured, each with the event that says so.
    """

    sealed: str
    label: str
    source: str
    until: datetime | None
    holds: tuple[str, ...]
    against: tuple[tuple[str, Event], ...] = ()

    def runs(self, now: datetime) -> bool:
        """Whether it still cures at ``now``."""
        return self.until is not None and now < self.until


class CuringError(SequencerError):
    """A step that has to wait for a sealant. ``until`` is when it has cured."""

    def __init__(self, problem: str, remedy: str, until: datetime) -> None:
        super().__init__(problem, remedy, code="curing", cured=local_time(until))
        self.until = until


def cures(moment: Moment) -> tuple[Cure, ...]:
    """Every sealant of this job that is on, in the order in which it was put on."""
    machine = moment.machine
    found: dict[str, Cure] = {}
    joined: dict[str, datetime] = {}
    for event, op in _done(moment):
        kind, subject = op.kind, op.subject
        if kind is Kind.SEAL:
            found.pop(subject, None)
            joined.pop(subject, None)
            if sealing := _sealing(machine, subject):
                sealant = sealant_on(sealing)
                found[subject] = Cure(
                    subject, sealant.label, sealant.cure_from, None, _holds(machine, subject)
                )
            continue
        for about in [about for about in found if _is_about(subject, about)]:
            if kind in _OPENS or (kind is Kind.UNDO and subject == about):
                del found[about]
            elif kind in _JOINS:
                sealing = _sealing(machine, about)
                assert sealing is not None
                joined[about] = max(event.time, joined.get(about, event.time))
                until = joined[about] + timedelta(seconds=float(sealant_on(sealing).cure))
                found[about] = replace(found[about], until=until)
        for about, cure in found.items():
            if op in cure.holds:
                found[about] = replace(cure, against=(*cure.against, (op, event)))
    return tuple(replace(cure, against=tuple(_too_soon(cure))) for cure in found.values())


def curing(moment: Moment, now: datetime) -> tuple[Cure, ...]:
    """What still cures at ``now``."""
    return tuple(cure for cure in cures(moment) if cure.runs(now))


def waits(found: Sequence[Cure], op: str) -> tuple[Cure, ...]:
    """Those of ``found`` for which the step ``op`` has to wait."""
    return tuple(cure for cure in found if op in cure.holds)


@dataclass(frozen=True)
class Ahead:
    """A wait for a cure among the steps that are left.

    Attributes:
        label: The sealant, in words.
        after: The place of the step from which it cures; None: it cures already.
        before: The place of the first step that waits for it.
        seconds: How long it cures; where it does already, how long still.
    """

    label: str
    after: int | None
    before: int
    seconds: float


def cures_ahead(moment: Moment, now: datetime) -> tuple[Ahead, ...]:
    """What has to wait for a sealant that cures, or will once it is on."""
    plan = moment.plan
    names = [op.name for op in plan.operations]
    numbers = [step.number for step in plan.steps]
    found: list[tuple[str, int | None, tuple[str, ...], float]] = [
        (cure.label, None, cure.holds, (cure.until - now).total_seconds())
        for cure in curing(moment, now)
        if cure.until is not None
    ]
    for hold in plan.holds if isinstance(plan, Refit) else ():
        if hold.after_step in numbers:
            holds = _holds(moment.machine, hold.sealed)
            found.append((hold.label, numbers.index(hold.after_step), holds, float(hold.seconds)))
    return tuple(
        Ahead(label, after, before, seconds)
        for label, after, holds, seconds in found
        for before in [next((n for n, op in enumerate(names) if op in holds and n > (after or -1)), None)]
        if before is not None
    )


def local_time(time: datetime) -> str:
    """``14:32`` in the local time of whoever reads it; another day than today with its date."""
    here = time.astimezone()
    return f"{here:%H:%M}" if here.date() == datetime.now().astimezone().date() else f"{here:%Y-%m-%d %H:%M}"


def check_cured(moment: Moment, ops: Sequence[str], now: datetime) -> None:
    """Refuse what would fill or run the machine on a sealant that still cures.

    Raises:
        CuringError: It says until when.
    """
    found = [(cure.until, op, cure) for op in ops for cure in waits(curing(moment, now), op) if cure.until]
    if not found:
        return
    until, op, cure = max(found, key=lambda one: one[0])
    step = steps_text(moment, (op,))
    raise CuringError(
        f"{step} waits: the {cure.label} on {cure.sealed} cures until {local_time(until)}",
        f"do it after {local_time(until)}; if it can't wait, say so with --anyway and the reason",
        until,
    )


def _done(moment: Moment) -> Iterator[tuple[Event, Op]]:
    """Every step that was done, those that were done anew after a turn included."""
    return ((one.event, Op(op)) for one in moment.state.of(EventKind.DONE) for op in one.event.body["ops"])


def _sealing(machine: Machine, subject: str) -> Sealing | None:
    thing = machine.parts.get(subject) or machine.own_joint(subject)
    return thing.sealing if thing else None


def _is_about(subject: str, sealed: str) -> bool:
    """Whether work on ``subject`` is work on what was sealed: a joint, or a part with all its joints."""
    return sealed in (subject, Subject(subject).part)


def _holds(machine: Machine, subject: str) -> tuple[str, ...]:
    fills = (Kind.FILL.of(fluid) for fluid in wetted(machine, subject) if machine.fluids[fluid].fill)
    return (*fills, *(Kind.RESTORE.of(task) for task in machine.first))


def _too_soon(cure: Cure) -> Iterator[tuple[str, Event]]:
    return ((op, event) for op, event in cure.against if cure.until is None or event.time < cure.until)
