"""The job that paper and exports are made from: a machine file with targets, or the job folder at hand."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.options import Search, Wanted
from sequencer.cli.shared.sittings import Cut
from sequencer.cli.shared.toolbox import read_toolbox_file, this_moment, today

if TYPE_CHECKING:
    from sequencer.document.lists.rows import Listing
    from sequencer.document.plans.both_ways import PaperJob
    from sequencer.document.plans.paper_job import BothCut
    from sequencer.graph.targets import Target
    from sequencer.job.now.moment import Moment
    from sequencer.machine.facts.typical import TypicalJob
    from sequencer.machine.model import Machine
    from sequencer.plan.evenings.wish import SittingsWish

MachineOrJob = Annotated[
    Path | None,
    argument(
        "[MACHINE]",
        "A machine file, the name of a bundled machine, or a job folder. Left out: the job you are in.",
    ),
]
Paper = Annotated[Literal["a4", "letter"], typer.Option("--paper", help="Paper size.")]
NoRefit = Annotated[bool, typer.Option("--no-refit", help="Leave out the way back.")]


ListFile = Annotated[
    Path | None, option("-o --output", "FILE", "The file to write: .csv or .pdf. Left out: print it.")
]
LISTS = ("csv", "pdf")
ListFormat = Annotated[
    Literal["table", "csv", "pdf"] | None,
    typer.Option("--format", help="The format. Left out: by the file's name.", show_default=False),
]


@dataclass(frozen=True)
class JobChoice(Search, Wanted):
    """The options that say which job it is, and how its order is looked for."""

    machine: MachineOrJob = None


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
    moment: Moment | None = None
    jobs: tuple[TypicalJob, ...] = ()


def job_of(
    wish: JobChoice,
    cut: Cut = Cut(),  # noqa: B008 - frozen
    *,
    toolbox: Path | None = None,
    unit: str | None = None,
    no_refit: bool = False,
) -> PaperJob:
    """Plan both ways and split them into sittings.

    Raises:
        SequencerError: The files have faults, or no order of work reaches the targets.
    """
    from sequencer.document.plans.paper_job import paper_job
    from sequencer.quantities import parse_torque_unit

    shown = parse_torque_unit(unit) if unit else None
    asked = _asked(wish, toolbox)
    box = read_toolbox_file(asked.toolbox)
    card = asked.moment.card if asked.moment else None
    ways = _ways(wish, asked, cut.wish(card.sittings, card.chance) if card else cut.wish(), no_refit)
    return paper_job(ways, today(), this_moment(), box=box, unit=shown, jobs=asked.jobs, moment=asked.moment)


def _ways(wish: JobChoice, asked: _Asked, evenings: SittingsWish | None, no_refit: bool) -> BothCut:
    """Both ways within the limits of the options, with a live line for a person who waits."""
    from sequencer.cli.shared.solving import live_line
    from sequencer.document.plans.paper_job import as_they_are, chosen
    from sequencer.job.now.ways import both_ways
    from sequencer.plan.order.patience import BACK_STATES, limits
    from sequencer.plan.refit import plan_refit
    from sequencer.plan.teardown import plan_teardown

    then = limits(wish.time_limit, wish.gap, BACK_STATES)
    with live_line() as watch:
        prefer, first, _, practice = searched = wish.asked(watch)
        if asked.moment is not None:
            return as_they_are(both_ways(asked.moment, first, None if no_refit else then, watch), evenings)
        into = plan_teardown(asked.machine, asked.targets, *searched)
        back = None if no_refit else lambda way_in: plan_refit(way_in, prefer, then, watch, practice)
        return chosen(into, back, evenings)


def _asked(wish: JobChoice, toolbox: Path | None) -> _Asked:
    from sequencer.cli.shared.options import read_job
    from sequencer.errors import SequencerError
    from sequencer.job.journal.card import CARD

    folder = wish.machine if wish.machine is not None and (wish.machine / CARD).is_file() else None
    if wish.machine is None or folder is not None:
        if wish.first:
            raise SequencerError("a job folder has its targets already", "leave --off, --reach and --job out")
        return _from_folder(folder, toolbox)
    if not wish.first:
        raise SequencerError(
            "nothing is asked for", "add --off PART, or --job NAME, or stand in a job folder"
        )
    machine, targets = read_job(wish.machine, wish)
    return _Asked(machine, targets, toolbox, jobs=wish.jobs(machine))


def _from_folder(path: Path | None, toolbox: Path | None) -> _Asked:
    """The job as its folder has it: its copy of the machine file, its targets, its sittings."""
    from sequencer.cli.shared.options import load_machine
    from sequencer.job.desk import Desk

    with Desk.open(path) as desk:
        folder = desk.folder
        load_machine(folder.machine)
        moment = desk.moment()
        return _Asked(moment.machine, moment.targets, toolbox or folder.toolbox, moment)


def show_listing(job: PaperJob, listing: Listing, to: ListTo) -> None:
    """Print a list, or write it to a file.

    Raises:
        SequencerError: The kind of file can't be told, or is not one for the terminal.
    """
    from sequencer.cli.shared.output import console, kind_of, print_content, write_output
    from sequencer.document.lists.rows import listing_document
    from sequencer.errors import SequencerError
    from sequencer.render.rows import as_csv, csv_file, listing_pdf
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
    if kind == "csv":
        text = csv_file(as_csv(listing.heads, listing.rows))
    else:
        text = listing_pdf(job, listing, to.paper)
    write_output(to.output, text, f"{to.output}: {listing.title}")
