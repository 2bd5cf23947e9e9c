"""``sequencer export``: a job for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.grouped import grouped
from sequencer.cli.jobs import JobChoice, NoRefit, job_of
from sequencer.cli.output import endings
from sequencer.cli.refit import TorqueUnit
from sequencer.cli.sittings import Cut
from sequencer.cli.toolbox import ToolboxFile
from sequencer.render.export import FORMATS

if TYPE_CHECKING:
    _Format = str
else:
    _Format = Literal[tuple(FORMATS)]

ExportFile = Annotated[
    Path | None,
    typer.Option(
        "-o",
        "--output",
        metavar="FILE",
        help=f"The file to write: {endings(tuple(FORMATS))}. Left out: print it.",
        show_default=False,
    ),
]
ExportFormat = Annotated[
    _Format | None,
    typer.Option("--format", help="The format. Left out: by the file's name, or JSON.", show_default=False),
]
Start = Annotated[
    list[str],
    typer.Option(
        "--start",
        metavar="TIME",
        help="When a sitting starts, for .ics: 2026-12-05T09:00. Repeat per sitting; the rest follow daily.",
        show_default=False,
    ),
]
Schema = Annotated[bool, typer.Option("--schema", help="Print only the JSON Schema.")]


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
) -> None:
    """Export a job as JSON, CSV, Markdown, a calendar, or a graph.

    Example: sequencer export models/delivery-van.yaml --off head --sitting "2 h" -o job.json
    """
    from sequencer.cli.output import kind_of, print_content, print_json, write_output
    from sequencer.render.export.as_data import job_schema
    from sequencer.render.rows import csv_file

    if schema:
        print_json(job_schema())
        return
    kind = (form or "json") if output is None else kind_of(output, tuple(FORMATS), form)
    job = job_of(wish, cut, toolbox=toolbox, unit=torque_unit, no_refit=no_refit)
    content = FORMATS[kind](job, start)
    if output is None:
        print_content(content)
        return
    if kind == "csv":
        content = csv_file(content.decode())
    write_output(output, content, f"{output}: {job.name}")
