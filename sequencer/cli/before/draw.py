"""``sequencer draw``: diagrams by purpose."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.before.crew import Handles, People, check_options, share_out
from sequencer.cli.shared.declared import given, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.jobs import JobChoice, Paper, job_of
from sequencer.cli.shared.options import load_machine, target_given
from sequencer.cli.shared.output import endings
from sequencer.cli.shared.sittings import Cut
from sequencer.render.pictures.dot import FORMATS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.document.plans.both_ways import PaperJob
    from sequencer.machine.model import Machine
    from sequencer.plan.plan import Teardown
    from sequencer.render.pictures.barring.scene import Scene

    _Format = str
else:
    _Format = Literal[FORMATS]

Output = Annotated[Path, option("-o --output", "FILE", f"The picture: {endings(FORMATS)}.")]
Form = Annotated[
    _Format | None,
    typer.Option("--format", help="The picture's format. Left out: by the file's name.", show_default=False),
]
Why = Annotated[str | None, option("--why", "PART", "Draw only the chain that makes this part move.")]
WayBack = Annotated[
    bool,
    typer.Option(
        "--refit",
        help="Draw the way back, with its gates as bars across the flow; with --plan, as heavy frames.",
    ),
]
AsRibbon = Annotated[
    bool, typer.Option("--plan", help="Draw the ribbon: the stations in order, with walks and gates marked.")
]
AsItStands = Annotated[
    bool, typer.Option("--state", help="Draw the job you are in as it stands: off, next, in hand.")
]
Only = Annotated[int | None, option("--only", "N", "Draw only this sitting of the way in; with --sitting.")]


@grouped
def draw(
    output: Output,
    wish: JobChoice,
    cut: Cut,
    why: Why = None,
    refit: WayBack = False,
    plan: AsRibbon = False,
    state: AsItStands = False,
    people: People = 1,
    handles: Handles = None,
    only: Only = None,
    form: Form = None,
    paper: Paper = "a4",
) -> None:
    """Draw what is in the way of what, or a plan as a ribbon.

    With --off, draw the steps of the plan; without it, the whole machine, or an assembly by itself. With
    --plan, draw a ribbon of stations instead, in their order: place, tool, time, gates; with --refit the
    way back, with --people a band for each person. With --state, draw a job under way: what is off, what
    is next, what is in hand.

    Example: sequencer draw models/delivery-van.yaml --off head -o plan.svg
    """
    from sequencer.cli.shared.output import kind_of
    from sequencer.errors import SequencerError

    kind = kind_of(output, FORMATS, form)
    machine = wish.machine
    check_options(people, handles, None)
    if people > 1 and (not plan or refit or cut != Cut()):
        remedy = "leave out --refit and sittings" if plan else "add --plan"
        raise SequencerError("--people draws the ribbon of a way in, in one go", remedy)
    if state:
        if why or refit or plan or only or cut != Cut() or wish.first:
            raise SequencerError("--state draws a job as it stands", "leave out what asks for another")
        _as_it_stands(machine, output, kind, paper)
        return
    if machine is not None and not machine.is_dir() and not wish.first:
        if why or refit or plan or only or cut != Cut():
            asked = "--why asks" if why else "--plan asks" if plan else "--refit and sittings ask"
            raise SequencerError(f"{asked} about a job", "add --off PART")
        _whole_machine(load_machine(machine, alone=True), output, kind, paper)
        return
    job = job_of(wish, cut, no_refit=not refit)
    if plan:
        if why or only:
            raise SequencerError("--plan draws a whole way", "leave out --why and --only")
        if people > 1:
            from sequencer.render.pictures.ribbon_people import people_ribbon

            scenes = people_ribbon(job, share_out(job.into, people, handles, wish.time_limit, wish.gap))
        else:
            from sequencer.render.pictures.ribbon import ribbon

            scenes = ribbon(job, job.back if refit and job.back else job.into)
        _ribbon(job, output, kind, paper, scenes)
        return
    _a_job(job, output, kind, paper, why, refit=refit, sitting=only)


def _whole_machine(machine: Machine, output: Path, kind: str, paper: str) -> None:
    from sequencer.cli.shared.toolbox import today
    from sequencer.render.pictures.sketches import sketch

    _write(output, sketch(machine, None, kind, machine.name, today(), paper))


def _as_it_stands(folder: Path | None, output: Path, kind: str, paper: str) -> None:
    from sequencer.cli.shared.toolbox import today
    from sequencer.errors import SequencerError
    from sequencer.job.desk import Desk
    from sequencer.render.pictures.sketches import sketch_now

    if folder is not None and not folder.is_dir():
        raise SequencerError(
            f"--state asks about a job, and {folder} is a machine file",
            "stand in the job's folder, or name it instead",
        )
    with Desk.open(folder) as desk:
        moment = desk.moment()
    _write(output, sketch_now(moment, kind, today(), paper))


def _ribbon(job: PaperJob, output: Path, kind: str, paper: str, scenes: Sequence[Scene]) -> None:
    from sequencer.render.pictures.ribbon import sketch_ribbon

    _write(output, sketch_ribbon(job, scenes, kind, paper))


def _a_job(
    job: PaperJob, output: Path, kind: str, paper: str, why: str | None, *, refit: bool, sitting: int | None
) -> None:
    from sequencer.errors import SequencerError
    from sequencer.render.pictures.sketches import sketch, sketch_back, sketch_sittings

    if refit:
        assert job.back is not None
        _write(output, sketch_back(job.back, kind, job.name, job.on, paper))
    elif job.sittings_in or sitting is not None:
        if sitting is not None and not 1 <= sitting <= len(job.sittings_in):
            raise SequencerError(
                f"--only {sitting}: the way in has {len(job.sittings_in)} sittings",
                "cut it with --sitting TIME, and name one of them",
            )
        pages = sketch_sittings(job.into, job.sittings_in, sitting, kind, job.name, job.on, paper)
        _write(output, pages)
    else:
        only = _chain(job.into, target_given(job.machine, why, "--why").part) if why else None
        _write(output, sketch(job.machine, job.into, kind, job.name, job.on, paper, only))


def _write(output: Path, pages: Sequence[bytes]) -> None:
    """The first page under its name, more as ``plan-2.svg``, ``plan-3.svg``; their names are said then."""
    from sequencer.cli.shared.output import write_output

    for number, page in enumerate(pages, start=1):
        path = output if number == 1 else output.with_name(f"{output.stem}-{number}{output.suffix}")
        if len(pages) == 1:
            write_output(path, page)
        else:
            write_output(path, page, str(path))


def _chain(plan: Teardown, asked: str) -> set[str]:
    """The parts in the chain from a target to ``asked``; the chain itself is printed as sentences."""
    from sequencer.cli.shared.output import console
    from sequencer.document.plans.blockers_one import chain_document
    from sequencer.plan.blockers import chain_of
    from sequencer.render.terminal import show

    with given("--why", asked):
        links = chain_of(plan, asked)
    show(chain_document(plan, asked, links), console())
    ends = {name for link in links for name in (link.later, link.earlier)}
    return {asked, *(one.part for one in plan.operations if one.name in ends and one.part)}
