"""``sequencer skip``: leave steps out, for a reason."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.job_options import Device, JobJson, JobOption, Person, Steps, desk, tell


def skip(
    steps: Steps,
    why: Annotated[str, typer.Argument(metavar="WHY", help="Why it is not needed.", show_default=False)],
    job: JobOption = None,
    person: Person = None,
    device: Device = None,
    as_json: JobJson = False,
) -> None:
    """Skip steps that this machine does not need. The reason stays in sight.

    Example: sequencer skip 4 'was dry already'
    """
    with desk(job, person, device) as opened:
        tell(opened.skip(steps, why), opened, as_json=as_json, then_next=True)
