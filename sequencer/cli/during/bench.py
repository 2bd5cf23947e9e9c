"""``sequencer bench``: the page beside the machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.shared.job_options import JobOption


def bench(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="FOLDER",
            help="A folder that several jobs' folders are in: all of them, and a list. Or one job's folder.",
            show_default=False,
        ),
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(
            "--database",
            metavar="URL",
            help="Of the jobs in FOLDER (left out: the one you are in) those that this database has.",
            show_default=False,
        ),
    ] = None,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Let phones and tablets on the local network in, by invitation."),
    ] = False,
    tls: Annotated[
        bool,
        typer.Option(
            "--tls",
            help="With --lan: encrypted, by a certificate authority of this computer that each phone "
            "installs once. A phone can then load the page again without a connection.",
        ),
    ] = False,
    port: Annotated[
        int | None,
        typer.Option(
            "--port",
            metavar="PORT",
            min=1,
            max=65535,
            help="The port of the page; else the one that it was served at before, or 8765; a list: 8700.",
            show_default=False,
        ),
    ] = None,
    describe: Annotated[
        Path | None,
        typer.Option(
            "--describe",
            metavar="FILE",
            help="Instead of a job: describe a machine by answering questions, into this machine file.",
            show_default=False,
        ),
    ] = None,
    like: Annotated[
        str | None,
        typer.Option(
            "--like",
            metavar="TYPE",
            help="With --describe: a machine of the library, or a file, that yours is like.",
            show_default=False,
        ),
    ] = None,
    off: Annotated[
        str | None,
        typer.Option("--off", metavar="PART", help="With --like: what you want off.", show_default=False),
    ] = None,
    job: JobOption = None,
) -> None:
    """Serve a job, or all in a folder, as a page for a phone.

    Example: sequencer bench --lan
    """
    from sequencer.bench.serve import serve, serve_jobs, serve_survey
    from sequencer.errors import SequencerError
    from sequencer.job.journal.card import CARD
    from sequencer.job.journal.folder import find_job

    if tls and not lan:
        raise SequencerError(
            "--tls is for other devices", "add --lan; a browser on this computer trusts the page as it is"
        )

    if describe is not None:
        parts = [one.strip() for one in (off or "").split(",") if one.strip()]
        serve_survey(describe, typer.echo, lan=lan, port=port, tls=tls, like=like, off=parts)
        return
    if like or off:
        raise SequencerError(
            "--like and --off describe a machine, and no file was named", "add --describe FILE"
        )
    several = database is not None or (folder is not None and not (folder / CARD).is_file())
    if several:
        at = folder or Path()
        serve_jobs(at, typer.echo, lan=lan, port=port, tls=tls, database=database or "")
        return
    serve(find_job(folder or job).path, typer.echo, lan=lan, port=port, tls=tls)
