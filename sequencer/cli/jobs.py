"""The job that paper and exports are made from: a machine file with targets, or the job folder at hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.options import GapLimit, Off, PracticeOption, PreferOption, Reach, TimeLimit
from sequencer.cli.toolbox import held_against, read_toolbox_file, today

if TYPE_CHECKING:
    from sequencer.document.both_ways import Job
    from sequencer.document.lists.rows import Listing
    from sequencer.graph.targets import Target
    from sequencer.job.moment import Moment
    from sequencer.job.ways import Ways
    from sequencer.machine.model import Machine
    from sequencer.plan.plan import Plan
    from sequencer.plan.sittings import Sitting

MachineOrJob = Annotated[
    Path | None,
    typer.Argument(
        metavar="[MACHINE]",
        help="A machine file, the name of a bundled machine, or a job folder. Left out: the job you are in.",
        show_default=False,
    ),
]
Paper = Annotated[Literal["a4", "letter"], typer.Option("--paper", help="Paper size.")]
SittingLengths = Annotated[
    list[str],
    typer.Option(
        "--sitting",
        metavar="TIME",
        help="Split it into sittings of about this length at most: 90min, 2 h. Repeat for sittings that "
        "differ; the last one goes on.",
        show_default=False,
    ),
]
NoRefit = Annotated[bool, typer.Option("--no-refit", help="Leave the way back out.")]


ListFile = Annotated[
    Path | None,
    typer.Option(
        "-o",
        "--output",
        metavar="FILE",
        help="The file to write: .csv or .pdf. Left out: print it.",
        show_default=False,
    ),
]
LISTS = ("csv", "pdf")
ListFormat = Annotated[
    Literal["table", "csv", "pdf"] | None,
    typer.Option("--format", help="The format. Left out: by the file's name.", show_default=False),
]


@dataclass(frozen=True)
class Wish:
    """The options that say which job it is, and how long to look for its order."""

    machine: MachineOrJob = None
    off: Off = field(default_factory=list)
    reach: Reach = field(default_factory=list)
    prefer: PreferOption = "time"
    practice: PracticeOption = "all"
    time_limit: TimeLimit = None
    gap: GapLimit = 0.0


@dataclass(frozen=True)
class Cut:
    """The options that split a job into sittings."""

    sitting: SittingLengths = field(default_factory=list)


@dataclass(frozen=True)
class ListTo:
    """The options that say where a list goes."""

    output: ListFile = None
    form: ListFormat = None
    paper: Paper = "a4"


@dataclass(frozen=True)
class _Asked:
    """A wish with what a job folder adds to it."""

    machine: Machine
    targets: tuple[Target, ...]
    toolbox: Path | None
    title: str = ""
    lengths: tuple[Fraction, ...] = ()
    moment: Moment | None = None


def job_of(
    wish: Wish,
    cut: Cut = Cut(),
    *,
    toolbox: Path | None = None,
    unit: str | None = None,
    no_refit: bool = False,
) -> Job:
    """Plan both ways and split them into sittings.

    Raises:
        SequencerError: The files have faults, or no order of work reaches the targets.
    """
    from sequencer.document.both_ways import Job, bag_words
    from sequencer.document.torques import torque_unit_named
    from sequencer.job.ways import ticked

    shown = torque_unit_named(unit) if unit else None
    asked = _asked(wish, toolbox)
    box, moment = read_toolbox_file(asked.toolbox), asked.moment
    ways = _ways(wish, asked, no_refit=no_refit)
    sittings_in = _sittings(cut, ways.into, asked.lengths, 0)
    return Job(
        into=ways.into,
        back=ways.back,
        on=today(),
        sittings_in=sittings_in,
        sittings_back=_sittings(cut, ways.back, asked.lengths, len(sittings_in)) if ways.back else (),
        unit=shown,
        kit_in=held_against(ways.into, box),
        kit_back=held_against(ways.back, box) if ways.back else None,
        bags=bag_words(ways.into, moment.bags if moment else {}),
        title=asked.title,
        ticked=ticked(moment) if moment else {},
    )


def _ways(wish: Wish, asked: _Asked, *, no_refit: bool) -> Ways:
    """Both ways within the limits of the options, with a live line for a person who waits."""
    from sequencer.cli.solving import live_line
    from sequencer.job.ways import Ways, both_ways
    from sequencer.plan.patience import BACK_STATES, limits
    from sequencer.plan.practice.rules import Practice
    from sequencer.plan.prefer import Prefer
    from sequencer.plan.refit import plan_refit
    from sequencer.plan.teardown import plan_teardown

    into = limits(wish.time_limit, wish.gap)
    back = None if no_refit else limits(wish.time_limit, wish.gap, BACK_STATES)
    with live_line() as watch:
        if asked.moment is not None:
            return both_ways(asked.moment, into, back, watch)
        prefer = Prefer(wish.prefer)
        practice = Practice(wish.practice)
        way_in = plan_teardown(asked.machine, asked.targets, prefer, into, watch, practice)
        return Ways(way_in, None if back is None else plan_refit(way_in, prefer, back, watch, practice))


def _asked(wish: Wish, toolbox: Path | None) -> _Asked:
    from sequencer.cli.options import read_job
    from sequencer.errors import SequencerError
    from sequencer.job.card import CARD

    folder = wish.machine if wish.machine is not None and (wish.machine / CARD).is_file() else None
    if wish.machine is None or folder is not None:
        if wish.off or wish.reach:
            raise SequencerError("a job folder has its targets already", "leave --off and --reach out")
        return _from_folder(folder, toolbox)
    if not wish.off and not wish.reach:
        raise SequencerError("nothing is asked for", "add --off PART, or stand in a job folder")
    machine, targets = read_job(wish.machine, wish.off, wish.reach)
    return _Asked(machine, targets, toolbox)


def _from_folder(path: Path | None, toolbox: Path | None) -> _Asked:
    """The job as its folder has it: its copy of the machine file, its targets, its sittings."""
    from sequencer.cli.options import load_machine
    from sequencer.job.desk import Desk

    with Desk.open(path) as desk:
        folder = desk.folder
        load_machine(folder.machine)
        moment = desk.moment()
        lengths = tuple(Fraction(minutes * 60) for minutes in folder.card.sittings)
        known = toolbox or folder.toolbox
        return _Asked(moment.machine, moment.targets, known, folder.card.title, lengths, moment)


def _sittings(cut: Cut, plan: Plan, lengths: tuple[Fraction, ...], before: int) -> tuple[Sitting, ...]:
    """A plan in sittings as the options ask for them, or else as the job does; none where neither asks."""
    from sequencer.plan.sittings import sittings_of_lengths

    asked = lengths_of(cut.sitting) or lengths
    return sittings_of_lengths(plan, asked, before) if asked else ()


def lengths_of(sittings: Sequence[str]) -> tuple[Fraction, ...]:
    """The lengths of sittings as they were given, in seconds.

    Raises:
        SequencerError: One can't be read.
    """
    from sequencer.errors import SequencerError
    from sequencer.quantities import QuantityError, parse_seconds

    try:
        lengths = tuple(parse_seconds(one) for one in sittings)
    except QuantityError as fault:
        raise SequencerError(f"--sitting: {fault.problem}", fault.remedy) from fault
    if any(length < _SHORTEST for length in lengths):
        raise SequencerError("a sitting has to take some time", "give it as 90min, or 2 h")
    return lengths


_SHORTEST = 60
"""Seconds below which nobody means a sitting."""


def show_listing(job: Job, listing: Listing, to: ListTo) -> None:
    """Print a list, or write it to a file.

    Raises:
        SequencerError: The kind of file can't be told, or is not one for the terminal.
    """
    from sequencer.cli.output import console, kind_of, print_content, write_output
    from sequencer.document.lists.rows import listing_document
    from sequencer.errors import SequencerError
    from sequencer.render.rows import as_csv, listing_pdf
    from sequencer.render.terminal import show

    if to.output is None:
        if to.form == "pdf":
            raise SequencerError("a PDF is not for the terminal", "name a file: -o list.pdf")
        if to.form == "csv":
            print_content(as_csv(listing.heads, listing.rows).encode())
        else:
            show(listing_document(listing), console())
        return
    kind = kind_of(to.output, LISTS, to.form)
    text = (
        as_csv(listing.heads, listing.rows).encode() if kind == "csv" else listing_pdf(job, listing, to.paper)
    )
    write_output(to.output, text, f"{to.output}: {listing.title}")
