"""``sequencer status``: the job at a glance."""

from __future__ import annotations

from sequencer.cli.shared.job_options import JobJson, JobOption, Person, desk


def status(job: JobOption = None, person: Person = None, as_json: JobJson = False) -> None:
    """Show progress, time left, and what is off, drained and open.

    The time left is at your pace. Also says whether the machine is safe to leave.

    Example: sequencer status
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.job.reports.status import status as status_of

    with desk(job, person) as opened:
        moment = opened.moment()
        told = status_of(moment, opened.by.person)
        if as_json:
            from sequencer.render.data.jobs.job import status_json

            print_json(status_json(told))
            return
        from sequencer.document.underway.standing import status_document
        from sequencer.render.terminal import show

        show(status_document(told, moment), console())
