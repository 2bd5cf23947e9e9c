"""``sequencer correct``: what the file has wrong about a part or joint."""

from __future__ import annotations

from typing import Annotated

from sequencer.cli.replanning.found import Reshuffle, seconds_of, tell_change
from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting


@grouped
def correct(
    where: Annotated[str, argument("PART[/JOINT]", "The part or joint.")],
    values: Annotated[
        list[str],
        argument(
            "KEY=VALUE...",
            "What is right: head=E12, thread=M8, length=25, count=3, torque='24 N.m', label=..., "
            "class=, pattern=.",
        ),
    ],
    reshuffle: Reshuffle = None,
    *,
    acting: Acting,
) -> None:
    """Correct the job's machine file, and replan.

    Example: sequencer correct motor/feet head=E12
    """
    given = dict(_pair(text) for text in values)
    with acting.desk() as opened:
        said = opened.correct(where, given, seconds_of(reshuffle))
        tell_change(said, opened, as_json=acting.as_json)


def _pair(text: str) -> tuple[str, str]:
    key, _, value = text.partition("=")
    return key.strip(), value
