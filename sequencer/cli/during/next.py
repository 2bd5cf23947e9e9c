"""``sequencer next``: where to stand, what to hold, what to do there."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.shared.job_options import JobJson, JobOption, Person, desk


def next_station(
    stations: Annotated[
        int,
        typer.Option("--stations", metavar="COUNT", min=1, help="Show this many stations."),
    ] = 1,
    job: JobOption = None,
    person: Person = None,
    as_json: JobJson = False,
) -> None:
    """Show the next station: where to stand, which tool, its steps.

    Example: sequencer next
    """
    from sequencer.cli.shared.output import console, print_json

    with desk(job, person) as opened:
        moment = opened.moment()
        if as_json:
            from sequencer.render.data.jobs.job import next_json

            print_json(next_json(moment, opened.by.person))
            return
        from sequencer.document.underway.going_on import next_document
        from sequencer.render.terminal import show

        show(next_document(moment, stations, opened.by.person), console())
