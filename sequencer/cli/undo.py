"""``sequencer undo``: take back what was said."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.job_options import Device, JobJson, JobOption, Person, desk, tell


def undo(
    which: Annotated[
        str | None,
        typer.Argument(
            metavar="[STEP|ID]",
            help="A step's number, or an id's first characters. Left out: this device's last act.",
            show_default=False,
        ),
    ] = None,
    job: JobOption = None,
    person: Person = None,
    device: Device = None,
    as_json: JobJson = False,
) -> None:
    """Undo this device's last entry, a step's tick, or any by its id.

    Example: sequencer undo
    """
    with desk(job, person, device) as opened:
        tell(opened.undo(which), opened, as_json=as_json, then_next=True)
