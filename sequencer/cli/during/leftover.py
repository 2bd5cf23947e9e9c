"""``sequencer leftover``: fasteners that lie on the bench, and where they could be missing."""

from __future__ import annotations

from typing import Annotated

from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.job_options import JobJson, JobOption, desk


def leftover(
    what: Annotated[list[str], argument("WHAT", "What is left: 2 M6x25; 'one nut 13 from bag 4'.")],
    job: JobOption = None,
    as_json: JobJson = False,
) -> None:
    """Find the joints that a leftover fastener may belong to.

    Example: sequencer leftover "2 M6x25"
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.job.reports.leftover import lying, suspects

    left = lying(" ".join(what))
    with desk(job) as opened:
        moment = opened.moment()
        found = suspects(moment, left)
        if as_json:
            from sequencer.render.data.jobs.leftover import leftover_json

            print_json(leftover_json(moment, left, found))
            return
        from sequencer.document.jobs.leftover import leftover_document
        from sequencer.render.terminal import show

        show(leftover_document(moment, left, found), console())
