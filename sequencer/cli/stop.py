"""``sequencer stop``: stop the clock, and say how the machine is left."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.job_options import Device, JobJson, JobOption, Person, desk, tell


def stop(
    why: Annotated[
        str, typer.Argument(metavar="[WHY]", help="Why, if it is worth knowing.", show_default=False)
    ] = "",
    job: JobOption = None,
    person: Person = None,
    device: Device = None,
    as_json: JobJson = False,
) -> None:
    """Stop the clock, and check whether the machine may be left.

    Example: sequencer stop 'waiting for the seal'
    """
    from sequencer.cli.output import console

    with desk(job, person, device) as opened:
        tell(opened.stop(why), opened, as_json=as_json)
        if not as_json:
            from sequencer.job.status import leaving
            from sequencer.render.job_text import print_leaving

            print_leaving(leaving(opened.moment()), opened.machine, console())
