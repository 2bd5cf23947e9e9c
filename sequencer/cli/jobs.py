"""The job that paper and exports are made from: a machine file with targets, or the job folder at hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.toolbox import held_against, read_toolbox_file, today

if TYPE_CHECKING:
    from sequencer.document.both_ways import Job
    from sequencer.document.lists.rows import Listing
    from sequencer.engine.problem import Limits
    from sequencer.graph.targets import Target
    from sequencer.job.moment import Moment
    from sequencer.machine.model import Machine
    from sequencer.plan.plan import Plan, Refit, Teardown
    from sequencer.plan.prefer import Prefer
    from sequencer.plan.sessions import Sitting

MachineOrJob = Annotated[
    Path | None,
    typer.Argument(
        metavar="[MACHINE]",
        help="The machine file, or the name of one that came along, or a job folder; or nothing inside one.",
        show_default=False,
    ),
]
Paper = Annotated[Literal["a4", "letter"], typer.Option("--paper", help="The sheets in the printer.")]
Sessions = Annotated[
    int | None,
    typer.Option("--sessions", metavar="N", help="Cut each way into so many sittings.", show_default=False),
]
SessionLength = Annotated[
    str | None,
    typer.Option(
        "--session-length",
        metavar="TIME",
        help="Cut each way into sittings of about this length at the most: 90 min, 2 h.",
        show_default=False,
    ),
]
NoRefit = Annotated[bool, typer.Option("--no-refit", help="Leave the way back out.")]


@dataclass(frozen=True)
class Wish:
    """What the options of a command ask for."""

    machine: Path | None
    off: list[str]
    reach: list[str]
    prefer: str = "time"
    toolbox: Path | None = None
    unit: str | None = None
    sessions: int | None = None
    session_length: str | None = None
    no_refit: bool = False
    time_limit: float | None = None
    gap: float = 0.0


@dataclass(frozen=True)
class _Asked:
    """A wish with what a job folder adds to it."""

    machine: Machine
    targets: tuple[Target, ...]
    prefer: str
    toolbox: Path | None
    title: str
    lengths: tuple[Fraction, ...]
    order: tuple[tuple[int, str], ...]
    bags: Mapping[str, int]
    moment: Moment | None = None


def job_of(wish: Wish) -> Job:
    """Plan both ways and cut them into sittings.

    Raises:
        SequencerError: The files have faults, or no order of work reaches the targets.
    """
    from sequencer.cli.solving import live_line
    from sequencer.document.both_ways import Job
    from sequencer.document.torques import torque_unit_named
    from sequencer.plan.patience import limits
    from sequencer.plan.prefer import Prefer
    from sequencer.plan.refit import plan_refit
    from sequencer.plan.teardown import plan_teardown

    unit = torque_unit_named(wish.unit) if wish.unit else None
    asked = _asked(wish)
    box = read_toolbox_file(asked.toolbox)
    prefer = Prefer(asked.prefer)
    moment = asked.moment
    back: Refit | None = None
    if moment is not None and moment.state.turned:
        into, back = _as_turned(moment)
        back = None if wish.no_refit else back
    else:
        with live_line() as watch:
            bound = limits(wish.time_limit, wish.gap)
            into = plan_teardown(asked.machine, asked.targets, prefer, bound, watch)
            into = _as_begun(into, asked.order)
            if not wish.no_refit and moment is not None and _against_the_file(moment):
                back = _as_it_stands(moment, asked.order, prefer, _back_limits(wish))
            elif not wish.no_refit:
                back = plan_refit(into, prefer, _back_limits(wish), watch)
    sittings_in = _sittings(wish, into, asked.lengths, 0)
    return Job(
        into=into,
        back=back,
        on=today(),
        sittings_in=sittings_in,
        sittings_back=_sittings(wish, back, asked.lengths, len(sittings_in)) if back is not None else (),
        unit=unit,
        kit_in=held_against(into, box),
        kit_back=held_against(back, box) if back is not None else None,
        bags=_bags(into, asked.bags),
        title=asked.title,
        ticked=_ticked(moment) if moment is not None else {},
    )


def _back_limits(wish: Wish) -> Limits:
    from sequencer.plan.patience import BACK_STATES, limits

    return limits(wish.time_limit, wish.gap, BACK_STATES)


def _asked(wish: Wish) -> _Asked:
    from sequencer.cli.options import read_job
    from sequencer.errors import SequencerError
    from sequencer.job.card import CARD

    folder = wish.machine if wish.machine is not None and (wish.machine / CARD).is_file() else None
    if wish.machine is None or folder is not None:
        if wish.off or wish.reach:
            raise SequencerError("a job folder has its targets already", "leave --off and --reach out")
        return _from_folder(wish, folder)
    if not wish.off and not wish.reach:
        raise SequencerError("nothing is asked for", "add --off PART, or stand in a job folder")
    machine, targets = read_job(wish.machine, wish.off, wish.reach)
    return _Asked(machine, targets, wish.prefer, wish.toolbox, "", (), (), {})


def _from_folder(wish: Wish, path: Path | None) -> _Asked:
    """The job as its folder has it: its copy of the machine file, its targets, its order and numbers."""
    from sequencer.cli.options import load_machine
    from sequencer.job.desk import Desk

    desk = Desk.open(path)
    try:
        card = desk.folder.card
        load_machine(desk.folder.machine)
        moment = desk.moment()
        order = _order(moment)
        bags = {path: bag.number for path, bag in moment.bags.items()}
        lengths = tuple(Fraction(minutes * 60) for minutes in card.sessions)
        toolbox = wish.toolbox or desk.folder.toolbox
        return _Asked(
            moment.machine, moment.targets, card.prefer, toolbox, card.title, lengths, order, bags, moment
        )
    finally:
        desk.close()


def _order(moment: Moment) -> tuple[tuple[int, str], ...]:
    """The steps of the way in under their numbers: those behind the present plan, then the plan's own.

    A plan that was made in the middle of a job begins there; what was done before it stands in front.
    """
    state, whole = moment.state, moment.whole.operations
    planned = {op for _, op in state.steps}
    ticks = [tick for tick in (*state.ticks.values(), *state.skipped.values()) if not tick.back]
    behind = sorted((tick for tick in ticks if tick.op not in planned), key=lambda tick: tick.time)
    free = max((number for number, _ in state.steps), default=0) + 1
    order = [(free + n if tick.number is None else tick.number, tick.op) for n, tick in enumerate(behind)]
    return tuple((number, op) for number, op in (*order, *state.steps) if op in whole)


def _as_begun(fresh: Teardown, order: tuple[tuple[int, str], ...]) -> Teardown:
    """The plan in the order and with the numbers that a job goes by, held to the bound of a fresh one."""
    from sequencer.graph import derive
    from sequencer.plan.plan import Totals
    from sequencer.plan.replay import opened_by, replay
    from sequencer.plan.setups import Changes

    names = [op for _, op in order]
    if not names or names == [op.name for op in fresh.operations]:
        return fresh
    graph = derive(fresh.machine).restricted(names)
    steps = replay(graph, names, Changes.of(fresh.machine), opened_by(graph, names))
    steps = tuple(replace(step, number=number) for step, (number, _) in zip(steps, order, strict=True))
    totals = Totals.of(steps)
    bound = min(fresh.bound_seconds, totals.seconds)
    proven = fresh.proven and totals == fresh.totals
    return replace(fresh, graph=graph, steps=steps, totals=totals, bound_seconds=bound, proven=proven)


def _against_the_file(moment: Moment) -> bool:
    """Whether something was done that the file does not allow, so that the reverse is no way back by it."""
    return any(tick.anyway for tick in moment.state.ticks.values())


def _as_it_stands(
    moment: Moment, order: tuple[tuple[int, str], ...], prefer: Prefer, limits: Limits
) -> Refit:
    """The way back from where a job will stand when all of its way in is done."""
    from sequencer.machine.model import HAND
    from sequencer.plan.turned import plan_back

    done = tuple(op for _, op in order if op not in moment.state.skipped)
    there = replace(moment.present, done=done, back=(), tool=HAND, position=None)
    return plan_back(moment.machine, moment.targets, there, prefer, limits).refit


def _as_turned(moment: Moment) -> tuple[Teardown, Refit]:
    """What was really taken apart, and the way back that the job goes by, what is done of it included."""
    from sequencer.machine.model import HAND
    from sequencer.plan.turned import as_planned, renumbered

    start = replace(moment.present, back=(), tool=HAND, position=None)
    order = [op for _, op in moment.state.steps]
    back = as_planned(moment.machine, moment.targets, start, order).refit
    back = renumbered(back, {op: number for number, op in moment.state.steps})
    known = {op: tick.number for op, tick in moment.state.ticks.items()}
    steps = back.teardown.steps
    numbers = [known.get(step.operation.name) for step in steps]
    if None not in numbers and len(set(numbers)) == len(numbers):
        steps = tuple(replace(step, number=n or 0) for step, n in zip(steps, numbers, strict=True))
    return replace(back.teardown, steps=steps), back


def _ticked(moment: Moment) -> dict[str, str]:
    """What is done of a job and what was left out, by operation."""
    state = moment.state
    return {**dict.fromkeys(state.ticks, "done"), **dict.fromkeys(state.skipped, "skipped")}


def _sittings(wish: Wish, plan: Plan, lengths: tuple[Fraction, ...], before: int) -> tuple[Sitting, ...]:
    """A plan in sittings as the options ask for them, or else as the job does; none where neither asks."""
    from sequencer.errors import SequencerError
    from sequencer.plan.sessions import sittings_by_number, sittings_of_lengths
    from sequencer.quantities import QuantityError, parse_seconds

    if wish.sessions is not None and wish.session_length is not None:
        raise SequencerError("--sessions and --session-length say the same thing twice", "give one of them")
    if wish.sessions is not None:
        return sittings_by_number(plan, wish.sessions)
    if wish.session_length is not None:
        try:
            lengths = (parse_seconds(wish.session_length),)
        except QuantityError as fault:
            raise SequencerError(f"--session-length: {fault.problem}", fault.remedy) from fault
    return sittings_of_lengths(plan, lengths, before) if lengths else ()


def _bags(into: Teardown, known: Mapping[str, int]) -> dict[str, str]:
    """The mark of each bag, by the operations that fill and empty it."""
    from sequencer.job.bags import numbered

    bags = numbered(into.machine, (op.name for op in into.operations), known)
    found = {}
    for path, bag in bags.items():
        found[f"undo {path}"] = found[f"fasten {path}"] = f"Bag {bag.number}"
    return found


ListFile = Annotated[
    Path | None,
    typer.Option(
        "-o", "--output", metavar="FILE", help="Write a file: .csv or .pdf; else print.", show_default=False
    ),
]
LISTS = ("csv", "pdf")
ListFormat = Annotated[
    Literal["table", "csv", "pdf"] | None,
    typer.Option("--format", help="The kind of list; else told by the file's name.", show_default=False),
]


def show_listing(
    job: Job, listing: Listing, output: Path | None, form: Literal["table", "csv", "pdf"] | None, paper: str
) -> None:
    """Print a list, or write it to a file.

    Raises:
        SequencerError: The kind of file can't be told, or is not one for the terminal.
    """
    from sequencer.cli.output import console, kind_of, print_content, write_output
    from sequencer.document.lists.rows import listing_document
    from sequencer.errors import SequencerError
    from sequencer.render.rows import as_csv, listing_pdf
    from sequencer.render.terminal import show

    if output is None:
        if form == "pdf":
            raise SequencerError("a PDF is not for the terminal", "name a file: -o list.pdf")
        if form == "csv":
            print_content(as_csv(listing.heads, listing.rows).encode())
        else:
            show(listing_document(listing), console())
        return
    kind = kind_of(output, LISTS, form)
    text = as_csv(listing.heads, listing.rows).encode() if kind == "csv" else listing_pdf(job, listing, paper)
    write_output(output, text, f"{output}: {listing.title}")
