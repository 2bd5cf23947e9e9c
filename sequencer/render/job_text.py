"""A job under way on the terminal: the station that comes next, and how the job stands."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.document.clean import clean
from sequencer.document.evenings.evening import evening_line, opening_words
from sequencer.document.evenings.sittings import in_all_words
from sequencer.document.hours import hours_words, known_words
from sequencer.document.jobs.open_ends import open_ends, out_of_reach, stands_open
from sequencer.document.jobs.record import reservation_lines, torque_lines
from sequencer.document.jobs.telling import open_question, question_line, read_back
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.cards import StationCard, StepCard, refit_cards, teardown_cards
from sequencer.document.steps.more_hands import hands_words
from sequencer.document.steps.renewing import renew_lines
from sequencer.document.words import duration, plural
from sequencer.graph.operations import Kind, Op
from sequencer.graph.said import part_words, path_words, sentence
from sequencer.job.changes.bare import to_tell, without_file
from sequencer.job.evenings.opened import openings
from sequencer.job.evenings.tonight import tonight
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.folder import JobFolder
from sequencer.job.now.closing import so_far
from sequencer.job.now.gates import gate_joint
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import JobStatus
from sequencer.machine.called import name_of
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.render.job_stop import print_leaving
from sequencer.render.lines import hanging
from sequencer.render.terminal import print_station
from sequencer.wording import capital, listing

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.job.desk import Outcome
    from sequencer.job.journal.state import Tick
    from sequencer.machine.model import Machine
    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.evenings.sittings import Evenings

_STUCK = "Nothing is left that can be done as things are."


def print_words(words: Iterable[str], console: Console) -> None:
    """What an act came to, each as a sentence."""
    for text in words:
        hanging(console, f"{capital(text)}.", hang=2)


def print_begun(
    made: JobFolder, called: Path, plan: Plan, console: Console, divided: Evenings[Any] | None = None
) -> None:
    """What was made, how it is divided into sittings, if it is, and how to go on."""
    if without_file(made.card):
        hanging(console, made.card.title, style="bold")
        hanging(
            console,
            f"Wanted: {aims_of(plan)}. Nothing else is known of the machine yet, and nothing needs to be.",
        )
        hanging(console, "Say what you do, as you do it; on a phone: sequencer bench --lan. For example:")
        hanging(console, f"cd {shlex.quote(str(called))}", lead="  ")
        hanging(console, 'sequencer did "chain guard off, 3 screws PH2"', lead="  ")
        return
    hanging(console, made.card.title, style="bold")
    hanging(
        console,
        f"{capital(hours_words(plan.hours))}; {plural(len(plan.steps), 'step')} "
        f"in {plural(len(plan.stations), 'station')}.",
    )
    jobs = [job for name, job in plan.machine.jobs.items() if name in made.card.jobs]
    if also := renew_lines(plan.machine, plan.operations, plan.taken_off, jobs)[1]:
        hanging(console, f"By experience also renew: {'; '.join(also)}.", hang=2)
    for line in in_all_words(divided) if divided is not None and divided.sittings else ():
        hanging(console, line)
    if plan.machine.learned:
        hanging(console, f"{capital(known_words(plan.machine.learned))}.")
    if words := hands_words(plan):
        hanging(console, words)
    hanging(
        console,
        f"The job is in {called}: go into that folder. sequencer resume starts the clock and shows the first "
        "station; sequencer done ticks it.",
    )


def read_lines(moment: Moment, said: Outcome) -> list[str]:
    """How a told line was read; nothing where the act told none."""
    return read_back(moment, _told(moment, said) or {})


def _told(moment: Moment, said: Outcome) -> Mapping[str, Any] | None:
    """The body of the event that an act of telling wrote; None where it wrote none."""
    known = (one.event for one in moment.state.of(EventKind.DID) if one.event.id in said.events)
    return next((event.body for event in known), None)


def print_told(
    moment: Moment, said: Outcome, console: Console, *, person: str = "", asked: bool = False
) -> None:
    """A line said back, what else came of it, and the question that it leaves; ``asked`` line by line."""
    for line in read_lines(moment, said):
        hanging(console, line, hang=2)
    print_words(said.words, console)
    asks = open_question(moment)
    if asks is not None and asks.text:
        hanging(console, question_line(asks), lead="? ", style="bold")
        how = (
            "its number answers it; or go on"
            if asked
            else "sequencer did --answer 1, or your words; or go on"
        )
        hanging(console, f"{how} without.", lead="  ", style="dim")
    if not to_tell(moment):
        print_next(moment, console, person=person)


def print_next(moment: Moment, console: Console, ahead: int = 1, person: str = "") -> None:
    """The station that comes next, and what to lay out for the one after; ``ahead`` stations in full.

    Where to stop this evening is told as ``person`` gets on.
    """
    now = datetime.now(UTC)
    stations = cards_of(moment, person=person, now=now)
    if (evening := tonight(moment, person, now)) is not None:
        hanging(console, evening_line(evening, now), style="bold")
    for line in open_ends(moment):
        hanging(console, f"{line}.", style="bold yellow")
    if to_tell(moment):
        _print_to_tell(moment, console)
        return
    if not stations:
        _print_end(moment, console)
        return
    for station in stations[:ahead]:
        print_station(station, console)
    console.print()
    if len(stations) > ahead:
        after = stations[ahead]
        hanging(console, f"After that: {after.where} · {after.tool}", style="dim")
    if moment.state.running is None:
        verb = "go on" if moment.state.started else "start the clock"
        hanging(console, f"Clock stopped. To {verb}: sequencer resume", style="dim")


def _print_to_tell(moment: Moment, console: Console) -> None:
    """What comes next where no file says it: whatever the person does."""
    hanging(console, f"Wanted: {aims_of(moment.plan)}.", style="bold")
    hanging(console, "No machine file says what comes next. Do what is in the way, and say it:")
    hanging(console, 'sequencer did "chain guard off, 3 screws PH2"', lead="  ")
    asks = open_question(moment)
    if asks is not None:
        hanging(console, question_line(asks), lead="? ")


def _print_end(moment: Moment, console: Console) -> None:
    """Nothing is left: the way in leads to the way back, and that to the end."""
    if out_of_reach(moment):
        hanging(console, _STUCK, style="bold")
        to = "take apart again: sequencer turn --apart" if moment.state.turned else "put back: sequencer turn"
        hanging(console, f"To {to}", style="dim")
        return
    if isinstance(moment.plan, Refit):
        lines = reservation_lines(moment)
        but = ", except what stands here" if lines else ""
        hanging(console, f"All is back together{but}: {moment.card.title}.", style="bold")
        for line in lines:
            hanging(console, line, lead="  ! ", style="bold yellow")
        return
    hanging(console, f"Done: {aims_of(moment.plan)}.", style="bold")
    hanging(console, "When it goes back together: sequencer turn", style="dim")


def cards_of(
    moment: Moment,
    kit: Equipment | None = None,
    newest: int | None = None,
    *,
    person: str = "",
    now: datetime | None = None,
) -> list[StationCard]:
    """The stations that are left, in words: as in the plan, with bags and this job's own notes.

    Where ``newest`` is given, a step has at most so many of this job's notes, and says how many came before.
    What opens something that can't be left says so, for ``person``'s evening as it is ``now``.
    """
    plan = moment.plan
    opens = {
        one.step.number: opening_words(one) for one in openings(moment, person, now or datetime.now(UTC))
    }
    stations = (
        refit_cards(plan, kit=kit)
        if isinstance(plan, Refit)
        else teardown_cards(plan)
        if isinstance(plan, Teardown)
        else []
    )
    return [
        replace(
            station,
            steps=tuple(
                replace(_own(moment, step, newest), opens=opens.get(step.number, ""))
                for step in station.steps
            ),
        )
        for station in stations
    ]


def _own(moment: Moment, step: StepCard, newest: int | None) -> StepCard:
    op = Op(step.operation)
    bag, label = moment.bags.get(op.subject), moment.labels.get(op.subject)
    lines = list(step.lines)
    if op.kind is Kind.UNDO and label:
        lines.append(f"label both sides {label.mark} first: {label.why}")
    if op.kind is Kind.UNDO and bag:
        lines.append(f"into bag {bag.number}")
    if op.kind is Kind.FASTEN and bag:
        lines.append(f"from bag {bag.number}")
    joint = gate_joint(moment, step.operation)
    if joint and (text := so_far(moment, joint)):
        lines.append(clean(text))
    noted = moment.notes.get(step.operation, [])
    earlier = max(len(noted) - newest, 0) if newest is not None else 0
    told = [f"{earlier} more before these"] if earlier else []
    noted = [*told, *map(clean, noted[earlier:])]
    return replace(step, lines=tuple(lines), notes=(*step.notes, *noted))


def print_status(told: JobStatus, moment: Moment, console: Console) -> None:
    """The job at a glance."""
    machine = moment.machine
    hanging(console, told.title, style="bold")
    hanging(console, f"{aims_of(moment.plan)}: {_way(moment)}, {_far(told, moment)}.")
    if not to_tell(moment):
        hanging(console, _time_left(told, moment))
    if told.worked_seconds:
        hanging(console, f"Worked, up to the last entry: {duration(told.worked_seconds)}.")
    console.print()
    for word, text in _rows(told, moment).items():
        hanging(console, text, lead=f"{word:<12}")
    for line in open_ends(moment):
        hanging(console, f"{line}.", lead=f"{'Mind':<12}", style="bold yellow")
    for line in torque_lines(moment):
        hanging(console, line, lead=f"{'Torque':<12}", style="bold yellow")
    for tick in told.skipped:
        hanging(console, f"{_said(moment, tick)}: {tick.why}", lead=f"{'Skipped':<12}")
    for tick in told.anyway:
        hanging(console, f"{_said(moment, tick)}, against the file: {tick.anyway}", lead=f"{'Anyway':<12}")
    if told.unread:
        unread = f"{plural(told.unread, 'event')} in the journal that this program can't read: see log"
        hanging(console, unread, lead=f"{'Left out':<12}", style="bold yellow")
    print_leaving(told.leaving, machine, console)


def _way(moment: Moment) -> str:
    return "the way back" if isinstance(moment.plan, Refit) else "the way in"


def _far(told: JobStatus, moment: Moment) -> str:
    if to_tell(moment):
        return f"{plural(told.done, 'step')} done; no machine file says how many are left"
    skipped = f", {len(told.skipped)} skipped" if told.skipped else ""
    return f"{told.done} of {plural(told.steps, 'step')} done{skipped}"


def _time_left(told: JobStatus, moment: Moment) -> str:
    if told.hours is None:
        return _STUCK if out_of_reach(moment) else "Nothing is left to do."
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
