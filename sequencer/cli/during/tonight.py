"""``sequencer tonight``: how far you get in the time that you have, and where to stop."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

import typer

from sequencer.cli.shared.job_options import JobJson, JobOption, Person, desk


def tonight(
    time: Annotated[
        list[str] | None,
        typer.Argument(metavar="[TIME]", help="What you have: 90min, 2 h.", show_default=False),
    ] = None,
    until: Annotated[
        str | None,
        typer.Option("--until", metavar="HH:MM", help="When you have to be done.", show_default=False),
    ] = None,
    chance: Annotated[
        float | None,
        typer.Option(
            "--chance",
            metavar="SHARE",
            help="How sure you want to be of getting there. Left out: as the job was begun, or 0.8.",
            show_default=False,
        ),
    ] = None,
    job: JobOption = None,
    person: Person = None,
    as_json: JobJson = False,
) -> None:
    """Show how far you can get tonight, and the best place to stop.

    Goes by the time you have taken on this job so far, and says what to lay out. From then on `next` and
    `done` warn before a step that opens what you can't leave in time. Asking does not touch the clock.

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
            from sequencer.render.data.job import evening_json

            print_json(evening_json(told))
            return
        from sequencer.document.evenings.evening import evening_document
        from sequencer.render.terminal import show

        show(evening_document(told), console())
