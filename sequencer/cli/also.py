"""``sequencer also``: a target that comes in the middle of a job."""

from __future__ import annotations

from sequencer.cli.found import Reshuffle, seconds_of, tell_change
from sequencer.cli.job_options import Device, JobJson, JobOption, Person, desk
from sequencer.cli.options import Off, Reach


def also(
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    reshuffle: Reshuffle = None,
    job: JobOption = None,
    person: Person = None,
    device: Device = None,
    as_json: JobJson = False,
) -> None:
    """Add a target, and replan from where you are.

    Example: sequencer also --off water-pump
    """
    with desk(job, person, device) as opened:
        said = opened.also(off, reach, seconds_of(reshuffle))
        tell_change(said, opened, as_json=as_json)
