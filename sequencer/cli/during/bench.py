"""``sequencer bench``: the page beside the machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.shared.job_options import JobOption


def bench(
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
            help="The port of the page; else the one that the job was served at before, or 8765.",
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
    """Serve the job as a page for a phone or tablet, until Ctrl-C.

    Example: sequencer bench --lan
    """
    from sequencer.bench.serve import serve, serve_survey
    from sequencer.errors import SequencerError
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
    serve(find_job(job).path, typer.echo, lan=lan, port=port, tls=tls)
