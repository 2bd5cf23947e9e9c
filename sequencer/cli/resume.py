"""``sequencer resume``: start the clock, or go on after a stop."""

from __future__ import annotations

from sequencer.cli.job_options import Device, JobJson, JobOption, Person, desk, tell


def resume(
    job: JobOption = None, person: Person = None, device: Device = None, as_json: JobJson = False
) -> None:
    """Start the clock, and show what comes next.

    Example: sequencer resume
    """
    with desk(job, person, device) as opened:
        tell(opened.resume(), opened, as_json=as_json, then_next=True)
