"""``sequencer tonight``: how far you get in the time that you have, and where to stop."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

import typer

from sequencer.cli.job_options import JobJson, JobOption, Person, desk


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
        float, typer.Option("--chance", metavar="SHARE", help="How sure you want to be of getting there.")
    ] = 0.8,
    job: JobOption = None,
    person: Person = None,
    as_json: JobJson = False,
) -> None:
    """Say how far you get, the best place to stop, and what to lay out.

    By what you have taken on this job so far. Asking does not touch the clock.

    Example: sequencer tonight 90min
    """
    from sequencer.cli.output import console, print_json
    from sequencer.job.evening import evening, seconds_of

    with desk(job, person) as opened:
        moment = opened.moment()
        given = seconds_of(
            " ".join(time) if time else None, until, moment.card.sittings, datetime.now().astimezone()
        )
        told = evening(moment, opened.by.person, given, chance)
        if as_json:
            from sequencer.render.data.job import evening_json

            print_json(evening_json(told))
            return
        from sequencer.document.evening import evening_document
        from sequencer.render.terminal import show

        show(evening_document(told), console())
