"""``sequencer new``: a folder for a job."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Person
from sequencer.cli.shared.options import Search, Wanted, read_job
from sequencer.cli.shared.pacing import PaceFile, knowing
from sequencer.cli.shared.sittings import Cut, divided
from sequencer.cli.shared.toolbox import ToolboxFile, read_toolbox_file
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.graph.targets import Target
    from sequencer.job.changes.begin import Begun
    from sequencer.machine.model import Machine
    from sequencer.plan.plan import Teardown


_Folder = Annotated[Path, argument("FOLDER", "The folder to make: new, or empty.")]
_Machine = Annotated[
    Path | None,
    option(
        "--machine",
        "FILE",
        "The machine file, or the name of a bundled machine; the job gets its own copy. Left out: the "
        "job starts without one, and you say what you do with did.",
    ),
]
_Title = Annotated[str | None, option("--title", "TEXT", "The name of the job.")]
_People = Annotated[list[str], option("--people", "NAME", "Who works on it. Repeat for more people.")]
_Database = Annotated[
    str | None,
    option(
        "--database", "URL", "Keep the journal there instead of in the folder: postgresql://user@host/name."
    ),
]
_Lan = Annotated[
    bool, typer.Option("--lan", help="Serve it at once as a page for phones, as bench --lan does.")
]


@grouped
def new(
    folder: _Folder,
    machine: _Machine = None,
    *,
    wanted: Wanted,
    title: _Title = None,
    people: _People = [],  # noqa: B006
    cut: Cut,
    database: _Database = None,
    lan: _Lan = False,
    person: Person = None,
    search: Search,
    toolbox: ToolboxFile = None,
    pace: PaceFile = None,
) -> None:
    """Start a job: its folder, plan, journal and photos. It needs no machine file: see did.

    Example: sequencer new head-job --off "cylinder head"
    """
    from sequencer.cli.shared.output import console
    from sequencer.cli.shared.solving import live_line
    from sequencer.document.underway.going_on import begun_document
    from sequencer.job.changes.begin import begin
    from sequencer.job.journal.folder import refuse_taken
    from sequencer.job.whose import who
    from sequencer.plan.teardown import plan_teardown
    from sequencer.render.terminal import show

    refuse_taken(folder.absolute())
    called = (title or folder.absolute().name).replace("-", " ").replace("_", " ")
    wish = cut.wish()
    file, read, targets = _bare(called, wanted) if machine is None else _copied(machine, wanted)
    read_toolbox_file(toolbox)
    read = knowing(read, pace)
    with live_line() as watch:
        plan = plan_teardown(read, targets, *search.asked(watch))
    plan, evenings = divided(plan, wish)
    names = _names(people, person)
    made = begin(
        folder,
        plan,
        file,
        who(names, person),
        title=title or (read.name if machine is None else f"{read.name}: {_aims(wanted, plan)}"),
        jobs=[one.name for one in wanted.jobs(read)],
        people=names,
        toolbox=toolbox,
        pace=pace,
        sittings=[max(round(float(length) / 60), 1) for length in wish.lengths] if wish else (),
        chance=cut.chance,
        database=database,
    )
    show(begun_document(made, folder, plan, evenings), console())
    if lan:
        from sequencer.bench.serve import serve

        serve(made.path, typer.echo, lan=True)


def _names(people: list[str], person: str | None) -> list[str]:
    """Who works on it; where nobody is named, whoever begins it is the one person that it has."""
    names = [name.strip() for text in people for name in re.split(r"[,;]", text) if name.strip()]
    return [person.strip()] if not names and person is not None else names


def _aims(wanted: Wanted, plan: Teardown) -> str:
    """What it is for: the names of its jobs, where that is all that is asked for, else its targets."""
    from sequencer.document.plans.plan import aims_of

    jobs = () if wanted.off or wanted.reach else wanted.jobs(plan.machine)
    return listing(one.label for one in jobs) or aims_of(plan)


def _copied(path: Path, wanted: Wanted) -> tuple[Begun, Machine, tuple[Target, ...]]:
    """A machine file that is there, what it says, and what is to be done."""
    from sequencer.job.changes.begin import copied
    from sequencer.machine.library import find

    read, targets = read_job(path, wanted)
    return copied(find(path)), read, targets


def _bare(called: str, wanted: Wanted) -> tuple[Begun, Machine, tuple[Target, ...]]:
    """The file of a job that begins with no more than what is wanted off."""
    from sequencer.errors import SequencerError
    from sequencer.graph.targets import parse_targets
    from sequencer.job.changes.bare import bare_file
    from sequencer.machine import MachineFileError, read_text

    if wanted.job:
        raise SequencerError("--job names a job of a machine file", "add --machine FILE")
    file, wishes = bare_file(called, wanted.off, wanted.reach)
    reading = read_text(file.content.decode(), file.name)
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    return file, reading.machine, parse_targets(reading.machine, wishes)
