"""Running the page: its port, the first invitation, and the server itself."""

from __future__ import annotations

import os
import shutil
import socket
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

from sequencer.bench.address import LOOPBACK, Address, address
from sequencer.bench.alone import alone_in
from sequencer.bench.pairing import PAIR, Sessions
from sequencer.errors import SequencerError

if TYPE_CHECKING:
    from starlette.types import ASGIApp

SESSIONS_FILE = ".bench-devices.json"
PORT_FILE = ".bench-port"
PORT = 8765
"""The port of a job that was never served."""
BACKLOG = 128
"""Connections that the system takes for the server until it comes to them."""


def qr_for_terminal(url: str) -> str:
    """The link as a QR code of block characters, for the camera of a phone."""
    import segno

    out = StringIO()
    segno.make(url, error="m").terminal(out, border=2, compact=True)
    return out.getvalue()


def serve(folder: Path, say: Callable[[str], None], *, lan: bool = False, port: int | None = None) -> None:
    """Serve the page of a job folder until Ctrl-C, at ``port`` or at the one that the job keeps.

    Raises:
        SequencerError: The port is taken, the job is served already, or it can't be opened.
    """
    from sequencer.bench.app import page
    from sequencer.job.folder import find_job

    before = kept_port(folder)
    where = address(lan=lan, port=port or before or PORT)
    sessions = Sessions(folder / SESSIONS_FILE, job=find_job(folder).card.id)
    with alone_in(folder):
        app = page(folder, sessions, where)
        listening = listen(where)
        keep_port(folder, where.port)
        if before not in (None, where.port):
            say(
                f"This job was served at port {before} before. A device that still holds entries sends them "
                f"only there: if one does, serve it with --port {before} once more."
            )
        _run(app, listening, sessions, where, say)


def serve_survey(
    machine: Path, say: Callable[[str], None], *, lan: bool = False, port: int | None = None
) -> None:
    """Serve the page that describes a machine into the file ``machine``, until Ctrl-C.

    Raises:
        SequencerError: The port is taken, or the survey can't be opened.
    """
    from sequencer.bench.app import survey_page

    if not machine.parent.is_dir():
        raise SequencerError(f"there is no folder {machine.parent}", "make it, or name a file in another")
    where = address(lan=lan, port=port or PORT)
    sessions = Sessions(machine.parent / SESSIONS_FILE, job=str(machine.absolute()))
    with alone_in(machine.parent):
        app = survey_page(machine, sessions, where)
        _run(app, listen(where), sessions, where, say)


def kept_port(folder: Path) -> int | None:
    """The port that a job keeps: a browser keeps what waits under the whole address, port included."""
    try:
        found = int((folder / PORT_FILE).read_text(encoding="ascii"))
    except (OSError, ValueError):
        return None
    return found if 0 < found < 65536 else None


def keep_port(folder: Path, port: int) -> None:
    """Keep the port for the next time."""
    from sequencer.machine.edit.atomic import replace_file

    if kept_port(folder) != port:
        replace_file(folder / PORT_FILE, f"{port}\n".encode())


def listen(where: Address) -> socket.socket:
    """A socket that listens at the address; another program's is never shared, nor another port taken.

    Raises:
        SequencerError: The port is taken, or may not be used.
    """
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":  # there the same word would let two programs have one port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((where.host, where.port))
        listening.listen(BACKLOG)
    except OSError as fault:
        listening.close()
        raise SequencerError(
            f"the page can't be served at {where.host}:{where.port}: {fault.strerror}",
            "end what uses this port, or give another with --port; the job keeps that one from then on",
        ) from fault
    return listening


_NETWORK = (
    "Whoever is in this network and has the link can see and change the job. The connection is not "
    "encrypted: others in the network can read what goes over it, and use what they read. Use a "
    "network that you trust."
)


def _run(
    app: ASGIApp, listening: socket.socket, sessions: Sessions, where: Address, say: Callable[[str], None]
) -> None:
    import uvicorn

    from sequencer.bench.connections import Connection

    link = f"{where.url}{PAIR}{sessions.invite()}"
    shown_to_others = where.shown != LOOPBACK
    if shown_to_others:
        say(fill(_NETWORK, min(shutil.get_terminal_size().columns, 100) - 1))
    say(f"Open this once on the device that is to see it (it works for ten minutes):\n\n    {link}\n")
    if shown_to_others:
        say(qr_for_terminal(link))  # last, so that no small terminal has lost the top of it
    say("Ctrl-C ends.")
    config = uvicorn.Config(
        app,
        http=Connection,
        ws="none",
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=1,
    )
    uvicorn.Server(config).run(sockets=[listening])
