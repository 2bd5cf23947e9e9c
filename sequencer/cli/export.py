"""``sequencer export``: a job for other programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.jobs import MachineOrJob, NoRefit, SessionLength, Sessions, Wish, job_of
from sequencer.cli.options import GapLimit, Off, PreferOption, Reach, TimeLimit
from sequencer.cli.refit import TorqueUnit
from sequencer.cli.toolbox import ToolboxFile

if TYPE_CHECKING:
    from sequencer.document.both_ways import Job

ExportFile = Annotated[
    Path | None,
    typer.Option(
        "-o",
        "--output",
        metavar="FILE",
        help="The file to write: .json, .csv, .md or .ics; else it is printed.",
        show_default=False,
    ),
]
ExportFormat = Annotated[
    Literal["json", "csv", "md", "ics"] | None,
    typer.Option("--format", help="The kind of file; else told by its name, or JSON.", show_default=False),
]
Start = Annotated[
    list[str],
    typer.Option(
        "--start",
        metavar="TIME",
        help="When a sitting begins, for .ics: 2026-12-05T09:00. Several: one for each; then a day apart.",
        show_default=False,
    ),
]
Schema = Annotated[
    bool, typer.Option("--schema", help="Print the JSON Schema of the JSON, and nothing else.")
]


def export(
    machine: MachineOrJob = None,
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    output: ExportFile = None,
    form: ExportFormat = None,
    start: Start = [],  # noqa: B006
    schema: Schema = False,
    prefer: PreferOption = "time",
    toolbox: ToolboxFile = None,
    torque_unit: TorqueUnit = None,
    sessions: Sessions = None,
    session_length: SessionLength = None,
    no_refit: NoRefit = False,
    time_limit: TimeLimit = None,
    gap: GapLimit = 0.0,
) -> None:
    """Hand a job to another program: JSON, CSV, Markdown, or a calendar of its sittings.

    Example: sequencer export models/delivery-van.yaml --off head --session-length "2 h" -o job.json
    """
    from sequencer.cli.output import kind_of, print_content, print_json, write_output
    from sequencer.render.export.as_data import job_schema

    if schema:
        print_json(job_schema())
        return
    kind = (form or "json") if output is None else kind_of(output, ("json", "csv", "md", "ics"), form)
    cuts = (sessions, session_length)
    job = job_of(Wish(machine, off, reach, prefer, toolbox, torque_unit, *cuts, no_refit, time_limit, gap))
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
