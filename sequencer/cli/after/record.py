"""``sequencer record``: the torque record."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.shared.job_options import JobJson, JobOption, desk


def record(
    as_csv: Annotated[bool, typer.Option("--csv", help="Print CSV instead of text.")] = False,
    job: JobOption = None,
    as_json: JobJson = False,
) -> None:
    """Print the torque record, open joints first.

    Each joint with every reading: who, when, on which wrench.

    Example: sequencer record --csv
    """
    from sequencer.cli.shared.output import console, print_content, print_json
    from sequencer.document.jobs.record import record_document
    from sequencer.job.reports.record import torque_record
    from sequencer.render.data.jobs.record_rows import record_csv
    from sequencer.render.data.jobs.torque_record import record_json
    from sequencer.render.terminal import show

    with desk(job) as opened:
        moment = opened.moment()
        entries = torque_record(moment)
        if as_json:
            print_json(record_json(moment, entries))
        elif as_csv:
            print_content(record_csv(entries).encode())
        else:
            show(record_document(moment, entries), console())
