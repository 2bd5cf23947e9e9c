"""``sequencer export``: a job for other programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.grouped import grouped
from sequencer.cli.jobs import NoRefit, Wish, job_of
from sequencer.cli.refit import TorqueUnit
from sequencer.cli.sittings import Cut
from sequencer.cli.toolbox import ToolboxFile

if TYPE_CHECKING:
    from sequencer.document.both_ways import Job

ExportFile = Annotated[
    Path | None,
    typer.Option(
        "-o",
        "--output",
        metavar="FILE",
        help="The file to write: .json, .csv, .md or .ics. Left out: print it.",
        show_default=False,
    ),
]
ExportFormat = Annotated[
    Literal["json", "csv", "md", "ics"] | None,
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
    wish: Wish,
    cut: Cut,
    output: ExportFile = None,
    form: ExportFormat = None,
    start: Start = [],  # noqa: B006 - typer copies it
    schema: Schema = False,
    toolbox: ToolboxFile = None,
    torque_unit: TorqueUnit = None,
    no_refit: NoRefit = False,
) -> None:
    """Export a job as JSON, CSV, Markdown, or a calendar.

    Example: sequencer export models/delivery-van.yaml --off head --sitting "2 h" -o job.json
    """
    from sequencer.cli.output import kind_of, print_content, print_json, write_output
    from sequencer.render.export.as_data import job_schema

    if schema:
        print_json(job_schema())
        return
    kind = (form or "json") if output is None else kind_of(output, ("json", "csv", "md", "ics"), form)
    job = job_of(wish, cut, toolbox=toolbox, unit=torque_unit, no_refit=no_refit)
    content = _content(job, kind, start)
    if output is None:
        print_content(content)
        return
    write_output(output, content, f"{output}: {job.name}")


def _content(job: Job, kind: str, start: list[str]) -> bytes:
    if kind == "ics":
        from sequencer.render.export.calendar import calendar, starts_from

        return calendar(job, starts_from(start))
    if kind == "json":
        from sequencer.render.export.as_data import job_json

        return (json.dumps(job_json(job), ensure_ascii=False, indent=2) + "\n").encode()
    from sequencer.render.export.as_text import job_csv, job_markdown

    return (job_csv(job) if kind == "csv" else job_markdown(job)).encode()
