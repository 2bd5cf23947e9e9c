"""``sequencer sheet``: the job sheet for the fender."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.before.refit import TorqueUnit
from sequencer.cli.shared.declared import option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.jobs import JobChoice, NoRefit, Paper, job_of
from sequencer.cli.shared.sittings import Cut
from sequencer.cli.shared.toolbox import ToolboxFile

SheetFile = Annotated[Path, option("-o --output", "FILE", "The PDF to write.")]

Large = Annotated[bool, typer.Option("--large", help="Steps at 18 points instead of 12.")]
Brief = Annotated[bool, typer.Option("--brief", help="One page with the stations only.")]


@grouped
def sheet(
    output: SheetFile,
    wish: JobChoice,
    cut: Cut,
    paper: Paper = "a4",
    toolbox: ToolboxFile = None,
    torque_unit: TorqueUnit = None,
    no_refit: NoRefit = False,
    large: Large = False,
    brief: Brief = False,
) -> None:
    """Print a job sheet: a page or more per sitting.

    With an overview in front, a box for each reading, and diagrams.

    Example: sequencer sheet models/delivery-van.yaml --off head -o job.pdf
    """
    from sequencer.cli.shared.output import kind_of, write_output
    from sequencer.errors import SequencerError
    from sequencer.render.pictures.sketches import for_sheet
    from sequencer.render.sheet.sheet import brief_pdf, sheet_pdf

    if brief and large:
        raise SequencerError("--brief sizes its text to fit one page", "leave --large out")
    kind_of(output, ("pdf",), bare="pdf")
    job = job_of(wish, cut, toolbox=toolbox, unit=torque_unit, no_refit=no_refit)
    if brief:
        write_output(output, brief_pdf(job, paper), f"{output}: {job.name}")
        return
    drawn = for_sheet(job.into, job.sittings_in) if job.into.steps else ()
    worth = [
        f"{word}: {job.worth(plan)}" for word, plan in zip(("way in", "way back"), job.ways, strict=False)
    ]
    write_output(output, sheet_pdf(job, drawn, paper, large=large), f"{output}: {job.name}", *worth)
