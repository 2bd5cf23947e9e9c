"""``sequencer new``: a folder for a job."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.job_options import Person
from sequencer.cli.options import GapLimit, Off, PracticeOption, PreferOption, Reach, TimeLimit, read_job
from sequencer.cli.toolbox import ToolboxFile, read_toolbox_file


def new(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="The folder to make: new, or empty.", show_default=False)
    ],
    machine: Annotated[
        Path,
        typer.Option(
            "--machine",
            metavar="FILE",
            help="The machine file, or the name of a bundled machine. The job gets its own copy.",
            show_default=False,
        ),
    ],
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    title: Annotated[
        str | None,
        typer.Option("--title", metavar="TEXT", help="The name of the job.", show_default=False),
    ] = None,
    people: Annotated[
        list[str],
        typer.Option(
            "--people",
            metavar="NAME",
            help="Who works on it. Repeat for more people.",
            show_default=False,
        ),
    ] = [],  # noqa: B006
    session: Annotated[
        list[int],
        typer.Option(
            "--session",
            metavar="MINUTES",
            min=1,
            help="How long a session may be. Repeat for sessions that differ.",
            show_default=False,
        ),
    ] = [],  # noqa: B006
    database: Annotated[
        str | None,
        typer.Option(
            "--database",
            metavar="URL",
            help="Keep the journal there instead of in the folder: postgresql://user@host/name.",
            show_default=False,
        ),
    ] = None,
    person: Person = None,
    prefer: PreferOption = "time",
    practice: PracticeOption = "all",
    toolbox: ToolboxFile = None,
    time_limit: TimeLimit = None,
    gap: GapLimit = 0.0,
) -> None:
    """Start a job: its folder, plan, journal and photos.

    The folder has its own copy of the machine file.

    Example: sequencer new head-job --machine models/delivery-van.yaml --off head
    """
    from sequencer.cli.output import console
    from sequencer.cli.solving import live_line
    from sequencer.document.plan import aims_of
    from sequencer.job.begin import begin
    from sequencer.job.folder import refuse_taken
    from sequencer.job.opening import who
    from sequencer.machine.library import find
    from sequencer.plan.patience import limits
    from sequencer.plan.practice.rules import Practice
    from sequencer.plan.prefer import Prefer
    from sequencer.plan.teardown import plan_teardown
    from sequencer.render.job_text import print_begun

    refuse_taken(folder.absolute())
    read, targets = read_job(machine, off, reach)
    read_toolbox_file(toolbox)
    with live_line() as watch:
        plan = plan_teardown(
            read,
            targets,
            Prefer(prefer),
            limits(time_limit, gap),
            watch,
            Practice(practice),
        )
    names = [name.strip() for text in people for name in re.split(r"[,;]", text) if name.strip()]
    made = begin(
        folder,
        plan,
        find(machine),
        who(names, person),
        title=title or f"{read.name}: {aims_of(plan)}",
        off=off,
        reach=reach,
        people=names,
        toolbox=toolbox,
        sessions=session,
        database=database,
    )
    print_begun(made, folder, plan, console())
