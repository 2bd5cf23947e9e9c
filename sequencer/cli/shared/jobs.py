"""The job that paper and exports are made from: a machine file with targets, or the job folder at hand."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Generic, Literal, TypeVar

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.options import Search, Wanted
from sequencer.cli.shared.sittings import Cut
from sequencer.cli.shared.toolbox import held_against, read_toolbox_file, this_moment, today

if TYPE_CHECKING:
    from sequencer.document.lists.rows import Listing
    from sequencer.document.plans.both_ways import PaperJob
    from sequencer.graph.targets import Target
    from sequencer.job.now.moment import Moment
    from sequencer.machine.facts.typical import TypicalJob
    from sequencer.machine.model import Machine
    from sequencer.plan.evenings import wish as evenings_wish
    from sequencer.plan.evenings.sittings import Evenings, Sitting
    from sequencer.plan.plan import Plan, Refit, Teardown

P = TypeVar("P", bound="Plan")

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
    title: str = ""
    usual: tuple[int, ...] = ()
    sure: float | None = None
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
    from sequencer.document.jobs.written import readings, said_otherwise
    from sequencer.document.plans.both_ways import PaperJob, bag_words
    from sequencer.job.now.ways import ticked
    from sequencer.quantities import parse_torque_unit

    shown = parse_torque_unit(unit) if unit else None
    asked = _asked(wish, toolbox)
    box, moment = read_toolbox_file(asked.toolbox), asked.moment
    evenings = cut.wish(asked.usual, asked.sure)
    into, back = _ways(wish, asked, evenings, no_refit=no_refit)
    return PaperJob(
        into=into.plan,
        back=back.plan if back else None,
        on=today(),
        at=this_moment(),
        divided_in=into.evenings,
        divided_back=back.evenings if back else None,
        sittings_in=into.sittings,
        sittings_back=back.sittings if back else (),
        unit=shown,
        kit_in=held_against(into.plan, box),
        kit_back=held_against(back.plan, box) if back else None,
        bags=bag_words(into.plan, moment.bags if moment else {}),
        title=asked.title,
        ticked=ticked(moment) if moment else {},
        people=tuple(moment.card.people) if moment else (),
        jobs=moment.jobs if moment else asked.jobs,
        begun=moment.state.history[0].event.time.astimezone().date() if moment else None,
        written=readings(moment) if moment else {},
        said=said_otherwise(moment) if moment else {},
    )


@dataclass(frozen=True)
class _Way(Generic[P]):
    """One way of a job, and its sittings; ``evenings`` where its order was chosen with them."""

    plan: P
    sittings: tuple[Sitting, ...] = ()
    evenings: Evenings[P] | None = None


def _ways(
    wish: JobChoice, asked: _Asked, evenings: evenings_wish.SittingsWish | None, *, no_refit: bool
) -> tuple[_Way[Teardown], _Way[Refit] | None]:
    """Both ways within the limits of the options, with a live line for a person who waits."""
    from sequencer.cli.shared.solving import live_line
    from sequencer.job.now.ways import both_ways
    from sequencer.plan.order.patience import BACK_STATES, limits
    from sequencer.plan.refit import plan_refit
    from sequencer.plan.teardown import plan_teardown

    first = limits(wish.time_limit, wish.gap)
    then = None if no_refit else limits(wish.time_limit, wish.gap, BACK_STATES)
    with live_line() as watch:
        if asked.moment is not None:
            ways = both_ways(asked.moment, first, then, watch)
            into = _as_it_is(ways.into, evenings)
            rest = evenings and evenings.after(len(into.sittings))
            return into, None if ways.back is None else _as_it_is(ways.back, rest)
        prefer, _, _, practice = searched = wish.asked(watch)
        into = _chosen(plan_teardown(asked.machine, asked.targets, *searched), evenings)
        if then is None:
            return into, None
        rest = evenings and evenings.after(len(into.sittings))
        return into, _chosen(plan_refit(into.plan, prefer, then, watch, practice), rest)


def _chosen(plan: P, wish: evenings_wish.SittingsWish | None) -> _Way[P]:
    """A fresh plan, its order chosen with its sittings."""
    from sequencer.plan.evenings.evenings import in_sittings

    if wish is None:
        return _Way(plan)
    found = in_sittings(plan, wish)
    return _Way(found.plan, found.sittings, found)


def _as_it_is(plan: P, wish: evenings_wish.SittingsWish | None) -> _Way[P]:
    """The plan of a job that goes by its order."""
    from sequencer.plan.evenings.evenings import as_ordered, with_breaks

    sittings = as_ordered(plan, wish) if wish else ()
    return _Way(with_breaks(plan, sittings), sittings)


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
        known = toolbox or folder.toolbox
        card = folder.card
        return _Asked(moment.machine, moment.targets, known, card.title, card.sittings, card.chance, moment)


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
