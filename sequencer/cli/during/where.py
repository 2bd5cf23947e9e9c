"""``sequencer where``: where something is."""

from __future__ import annotations

from typing import Annotated

from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.job_options import JobJson, JobOption, desk


def where(
    what: Annotated[str, argument("WORDS", "Words from the name of a part or joint: 'lower bolts'.")],
    job: JobOption = None,
    as_json: JobJson = False,
) -> None:
    """Find something: its bag, step, labels and photos.

    Example: sequencer where "lower bolts"
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.job.reports.whereabouts import where as where_is

    with desk(job) as opened:
        moment = opened.moment()
        found = where_is(moment, what)
        if as_json:
            from sequencer.render.data.jobs.job import where_json

            print_json(where_json(found))
            return
        from sequencer.document.underway.lying_where import where_document
        from sequencer.render.terminal import show

        show(where_document(moment, found), console())
