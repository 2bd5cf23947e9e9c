"""``sequencer sheet``: the job sheet for the fender."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.jobs import (
    MachineOrJob,
    NoRefit,
    Paper,
    SessionLength,
    Sessions,
    Wish,
    job_of,
)
from sequencer.cli.options import GapLimit, Off, PreferOption, Reach, TimeLimit
from sequencer.cli.refit import TorqueUnit
from sequencer.cli.toolbox import ToolboxFile

SheetFile = Annotated[
    Path, typer.Option("-o", "--output", metavar="FILE", help="The PDF to write.", show_default=False)
]


def sheet(
    output: SheetFile,
    machine: MachineOrJob = None,
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    prefer: PreferOption = "time",
    paper: Paper = "a4",
    toolbox: ToolboxFile = None,
    torque_unit: TorqueUnit = None,
    sessions: Sessions = None,
    session_length: SessionLength = None,
    no_refit: NoRefit = False,
    time_limit: TimeLimit = None,
    gap: GapLimit = 0.0,
) -> None:
    """Print the job as a sheet: what to lay out, the stations with tick boxes, the gates, a picture.

    Example: sequencer sheet models/delivery-van.yaml --off head -o job.pdf
    """
    from sequencer.cli.output import kind_of, write_output
    from sequencer.render.pictures.sketches import for_sheet
    from sequencer.render.sheet.sheet import sheet_pdf

    kind_of(output, ("pdf",), bare="pdf")
    cuts = (sessions, session_length)
    job = job_of(Wish(machine, off, reach, prefer, toolbox, torque_unit, *cuts, no_refit, time_limit, gap))
    drawn = for_sheet(job.into, job.sittings_in, paper) if job.into.steps else ()
    worth = [
        f"{word}: {job.worth(plan)}" for word, plan in zip(("way in", "way back"), job.ways, strict=False)
    ]
    write_output(output, sheet_pdf(job, drawn, paper), f"{output}: {job.name}", *worth)
