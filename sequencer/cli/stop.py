"""``sequencer stop``: stop the clock, and say how the machine is left."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.grouped import grouped
from sequencer.cli.job_options import Acting, desk, tell


@grouped
def stop(
    why: Annotated[
        str, typer.Argument(metavar="[WHY]", help="Why, if it is worth knowing.", show_default=False)
    ] = "",
    *,
    acting: Acting,
) -> None:
    """Stop the clock, and check whether the machine may be left.

    Example: sequencer stop 'waiting for the seal'
    """
    from sequencer.cli.output import console

    with desk(acting.job, acting.person, acting.device) as opened:
        tell(opened.stop(why), opened, as_json=acting.as_json)
        if not acting.as_json:
            from sequencer.job.status import leaving
            from sequencer.render.job_text import print_leaving

            print_leaving(leaving(opened.moment()), opened.machine, console())
