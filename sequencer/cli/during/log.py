"""``sequencer log``: everything that was said, in order."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.job_options import JobJson, JobOption, desk
from sequencer.errors import SequencerError

_Last = Annotated[int | None, option("--last", "COUNT", "Only the last ones.", min=1)]
_AsCsv = Annotated[bool, typer.Option("--csv", help="Print CSV: a line for each event.")]
_Chapters = Annotated[
    bool, typer.Option("--chapters", help="When each station began, as time codes for a film.")
]
_Start = Annotated[
    str | None, option("--from", "TIME", "With --chapters: when the film began, such as 10:02:15.")
]


def log(
    last: _Last = None,
    as_csv: _AsCsv = False,
    chapters: _Chapters = False,
    start: _Start = None,
    job: JobOption = None,
    as_json: JobJson = False,
) -> None:
    """Print the journal, oldest entry first. Undone entries are marked.

    Example: sequencer log --chapters --from 10:02:15
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.jobs.log_lines import chapters_document, log_document
    from sequencer.render.terminal import show

    if (start is not None) != chapters:
        raise SequencerError("--chapters and --from go together", "log --chapters --from 10:02:15")
    with desk(job) as opened:
        moment, events = opened.moment(), opened.log()
    if chapters and start is not None:
        from sequencer.job.reports.chapters import chapters as chapters_of
        from sequencer.job.reports.chapters import film_start

        found = chapters_of(moment, film_start(start, moment))
        if as_json:
            from sequencer.render.data.jobs.job import chapters_json

            print_json(chapters_json(found))
        else:
            show(chapters_document(moment, found), console())
    elif as_json:
        from sequencer.render.data.jobs.journal_rows import log_json

        print_json(log_json(moment, events, last))
    elif as_csv:
        from sequencer.render.data.jobs.journal_rows import log_csv

        sys.stdout.write(log_csv(moment, events, last))
    else:
        show(log_document(moment, events, last), console())
