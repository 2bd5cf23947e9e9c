"""``sequencer tonight``: how far you get in the time that you have, and where to stop."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.job_options import JobJson, JobOption, Person, desk

_Time = Annotated[list[str] | None, argument("[TIME]", "What you have: 90min, 2 h.")]
_Until = Annotated[str | None, option("--until", "HH:MM", "When you have to be done.")]
_Chance = Annotated[
    float | None,
    option(
        "--chance",
        "SHARE",
        "How sure you want to be of getting there. Left out: as set when the job was started, or 0.8.",
    ),
]


def tonight(
    time: _Time = None,
    until: _Until = None,
    chance: _Chance = None,
    job: JobOption = None,
    person: Person = None,
    as_json: JobJson = False,
) -> None:
    """Show how far you can get tonight, and the best place to stop.

    Goes by the time you have taken on this job so far, and says what to lay out. From then on
    `next` and `done` warn you before a step that opens up more than you can close in time. Asking
    does not touch the clock.

    Example: sequencer tonight 90min
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.job.evenings.tonight import as_said, wish_of

    with desk(job, person) as opened:
        now, who = datetime.now(UTC), opened.by.person
        if time or until or chance is not None or wish_of(opened.moment(), who, now) is None:
            opened.evening(" ".join(time) if time else None, until, chance)
        told = as_said(opened.moment(), who, now)
        if as_json:
            from sequencer.render.data.jobs.job import evening_json

            print_json(evening_json(told))
            return
        from sequencer.document.evenings.evening import evening_document
        from sequencer.render.terminal import show

        show(evening_document(told), console())
