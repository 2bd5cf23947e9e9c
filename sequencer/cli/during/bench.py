"""``sequencer bench``: the page beside the machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.job_options import JobOption

_Folder = Annotated[
    Path | None,
    argument("FOLDER", "A folder of job folders: serve them all, with a list. Or one job's folder."),
]
_Database = Annotated[
    str | None,
    option(
        "--database",
        "URL",
        "Serve those jobs in FOLDER, or in the folder you are in, whose journal is in this database.",
    ),
]
_Lan = Annotated[
    bool, typer.Option("--lan", help="Let phones and tablets on the local network in, by invitation.")
]
_Tls = Annotated[
    bool,
    typer.Option(
        "--tls",
        help="With --lan: encrypt the page. Each phone installs this computer's certificate authority "
        "once, and can then reload the page without a connection.",
    ),
]
_Port = Annotated[
    int | None,
    option(
        "--port",
        "PORT",
        "The page's port. Left out: the last one used, or 8765; for a list, 8700.",
        min=1,
        max=65535,
    ),
]
_Describe = Annotated[
    Path | None,
    option(
        "--describe",
        "FILE",
        "Instead of a job: describe a machine by answering questions, into this machine file.",
    ),
]
_Like = Annotated[
    str | None,
    option("--like", "TYPE", "With --describe: a machine of the library, or a file, that yours is like."),
]
_Off = Annotated[str | None, option("--off", "PART", "With --like: what you want off.")]


def bench(
    folder: _Folder = None,
    database: _Database = None,
    lan: _Lan = False,
    tls: _Tls = False,
    port: _Port = None,
    describe: _Describe = None,
    like: _Like = None,
    off: _Off = None,
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
