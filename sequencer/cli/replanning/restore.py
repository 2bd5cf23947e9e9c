"""``sequencer restore``: the job's machine file from the journal."""

from __future__ import annotations

from sequencer.cli.shared.job_options import JobJson, JobOption, desk


def restore(job: JobOption = None, as_json: JobJson = False) -> None:
    """Put back the journal's copy of the job's machine file.

    The present file is kept beside it.

    Example: sequencer restore
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.underway.going_on import said_document
    from sequencer.render.terminal import show

    with desk(job) as opened:
        words = opened.restore()
        if as_json:
            from sequencer.render.data.jobs.outcome import RestoredData

            print_json(RestoredData(words=words).plain())
        else:
            show(said_document(words), console())
