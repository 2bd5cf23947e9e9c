"""``sequencer bench``: the page beside the machine."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.job_options import JobOption


def bench(
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Let phones and tablets in the local network in, by invitation."),
    ] = False,
    port: Annotated[
        int, typer.Option("--port", metavar="PORT", min=1, max=65535, help="The port of the page.")
    ] = 8765,
    job: JobOption = None,
) -> None:
    """Serve the job as a page for a phone or tablet, until Ctrl-C.

    Example: sequencer bench --lan
    """
    from sequencer.bench.serve import address, serve
    from sequencer.job.folder import find_job

    serve(find_job(job).path, address(lan=lan, port=port), typer.echo)
