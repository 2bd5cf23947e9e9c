"""``sequencer export``: a job for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.before.refit import TorqueUnit
from sequencer.cli.shared.declared import option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.jobs import JobChoice, NoRefit, job_of
from sequencer.cli.shared.output import endings
from sequencer.cli.shared.sittings import Cut
from sequencer.cli.shared.toolbox import ToolboxFile
from sequencer.render.export import FORMATS

if TYPE_CHECKING:
    _Format = str
else:
    _Format = Literal[tuple(FORMATS)]

ExportFile = Annotated[
    Path | None,
    option("-o --output", "FILE", f"The file to write: {endings(tuple(FORMATS))}. Left out: print it."),
]
ExportFormat = Annotated[
    _Format | None,
    typer.Option("--format", help="The format. Left out: by the file's name, or JSON.", show_default=False),
]
Start = Annotated[
    list[str],
    option(
        "--start",
        "TIME",
        "When a sitting starts, for .ics: 2026-12-05T09:00. Repeat per sitting; the rest follow daily.",
    ),
]
Schema = Annotated[bool, typer.Option("--schema", help="Print only the JSON Schema.")]

Shared = Annotated[
    bool,
    typer.Option(
        "--machine",
        help="Export the machine file instead, complete in itself, to give to others.",
    ),
]
By = Annotated[
    str | None, option("--by", "NAME", "With --machine: who it is from. Left out: whoever is logged in.")
]
Notes = Annotated[bool, typer.Option("--notes", help="With --machine: keep its notes.")]
Confirmed = Annotated[
    list[Path],
    option(
        "--confirmed",
        "FOLDER",
        "With --machine: mark what a job's folder, or your jobs' folder, confirms. Repeat for more.",
    ),
]


@grouped
def export(
    wish: JobChoice,
    cut: Cut,
    output: ExportFile = None,
    form: ExportFormat = None,
    start: Start = [],  # noqa: B006 - typer copies it
    schema: Schema = False,
    toolbox: ToolboxFile = None,
    torque_unit: TorqueUnit = None,
    no_refit: NoRefit = False,
    shared: Shared = False,
    by: By = None,
    notes: Notes = False,
    confirmed: Confirmed = [],  # noqa: B006
) -> None:
    """Export a job for other programs, or a machine file to be shared.

    Example: sequencer export models/delivery-van.yaml --off head --sitting "2 h" -o job.json
    """
    from sequencer.cli.shared.output import kind_of, print_content, print_json, write_output
    from sequencer.document.words import plural
    from sequencer.errors import SequencerError
    from sequencer.render.export.as_data import job_schema
    from sequencer.render.export.cancelled import with_cancelled
    from sequencer.render.rows import csv_file

    if schema:
        print_json(job_schema())
        return
    if shared:
        _share(wish, output, by, notes=notes, jobs=confirmed)
        return
    if by or notes or confirmed:
        asked = "--by" if by else "--notes" if notes else "--confirmed"
        raise SequencerError(f"{asked} is about a machine file", "write --machine as well")
    kind = (form or "json") if output is None else kind_of(output, tuple(FORMATS), form)
    job = job_of(wish, cut, toolbox=toolbox, unit=torque_unit, no_refit=no_refit)
    content = FORMATS[kind](job, start)
    if output is None:
        print_content(content)
        return
    told = [f"{output}: {job.name}"]
    if kind == "csv":
        content = csv_file(content.decode())
    if kind == "ics" and output.is_file():
        content, gone = with_cancelled(content, output.read_bytes())
        told += [f"cancelled, of what the file had before: {plural(gone, 'event')}"] if gone else []
    write_output(output, content, *told)


def _share(wish: JobChoice, output: Path | None, by: str | None, *, notes: bool, jobs: list[Path]) -> None:
    """Write the machine file, of a job its own copy, as one that stands alone."""
    from sequencer.cli.shared.output import kind_of, print_content, write_output
    from sequencer.cli.shared.toolbox import today
    from sequencer.errors import SequencerError
    from sequencer.job.journal.card import CARD
    from sequencer.job.journal.folder import find_job
    from sequencer.job.learning.track_record import track_record
    from sequencer.job.whose import who
    from sequencer.machine.library import find
    from sequencer.render.export.as_machine import shared_text

    if wish.first:
        raise SequencerError(f"--machine shares all of a machine, and {wish.first} is a job", "leave one out")
    if output is not None:
        kind_of(output, ("yaml", "yml"), bare="yaml")
    folder = wish.machine if wish.machine is not None and (wish.machine / CARD).is_file() else None
    people: tuple[str, ...] = ()
    if wish.machine is None or folder is not None:
        job = find_job(folder)
        path, people, jobs = job.machine, job.card.people, [*jobs, job.path]
    else:
        path = find(wish.machine)
    text = shared_text(path, who(people, by).person, today(), track_record(jobs, path), notes=notes)
    if output is None:
        print_content(text.encode())
    else:
        write_output(output, text.encode(), f"{output}: {path} to be shared")
