"""``sequencer also``: a target that comes in the middle of a job."""

from __future__ import annotations

from sequencer.cli.replanning.found import Reshuffle, seconds_of, tell_change
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting
from sequencer.cli.shared.options import Off, Reach


@grouped
def also(
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    reshuffle: Reshuffle = None,
    *,
    acting: Acting,
) -> None:
    """Add a target, and replan from where you are.

    Example: sequencer also --off water-pump
    """
    with acting.desk() as opened:
        said = opened.also(off, reach, seconds_of(reshuffle))
        tell_change(said, opened, as_json=acting.as_json)
