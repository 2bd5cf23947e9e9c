"""``sequencer turn``: from taking apart to putting together."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.job_options import Device, JobJson, JobOption, Person, desk, tell


def turn(
    apart: Annotated[
        bool,
        typer.Option("--apart", help="The other way: take apart again in the middle of the reassembly."),
    ] = False,
    job: JobOption = None,
    person: Person = None,
    device: Device = None,
    as_json: JobJson = False,
) -> None:
    """Start the reassembly, planned from what really came apart.

    Example: sequencer turn
    """
    with desk(job, person, device) as opened:
        tell(opened.turn(apart=apart), opened, as_json=as_json, then_next=True)
