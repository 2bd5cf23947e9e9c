"""Running the page: its port, the first invitation, and the server itself."""

from __future__ import annotations

import os
import shutil
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path
from textwrap import fill
from threading import Thread
from typing import TYPE_CHECKING

from sequencer.bench.access.address import LOOPBACK, Address, address
from sequencer.bench.access.alone import alone_in
from sequencer.bench.access.pairing import PAIR, Sessions
from sequencer.errors import SequencerError

if TYPE_CHECKING:
    import ssl

    import uvicorn
    from starlette.types import ASGIApp

    from sequencer.bench.access.authority import Authority

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


def serve(
    folder: Path,
    say: Callable[[str], None],
    *,
    lan: bool = False,
    port: int | None = None,
    tls: bool = False,
) -> None:
    """Serve the page of a job folder until Ctrl-C, at ``port`` or at the one that the job keeps.

    Raises:
        SequencerError: The port is taken, the job is served already, or it can't be opened.
    """
    from sequencer.bench.app import page
    from sequencer.job.journal.folder import find_job

    before, was_secure = kept_port(folder)
    where = address(lan=lan, port=port or before or PORT, secure=tls)
    sessions = Sessions(folder / SESSIONS_FILE, job=find_job(folder).card.id)
    with alone_in(folder):
        listening, trusted, where = _listening(where)
        app = page(folder, sessions, where)
        keep_port(folder, where.port, secure=tls)
        if before is not None and (before, was_secure) != (where.port, tls):
            way = f"--port {before}{' --lan --tls' if was_secure else ' and without --tls' if tls else ''}"
            say(
                f"This job was served at port {before} {'with' if was_secure else 'without'} TLS before. "
                f"A device that still holds entries sends them only there: if one does, serve it with {way} "
                "once more."
            )
        _run(app, listening, sessions, where, say, trusted)


def serve_survey(
    machine: Path,
    say: Callable[[str], None],
    *,
    lan: bool = False,
    port: int | None = None,
    tls: bool = False,
    like: str | None = None,
    off: Sequence[str] = (),
) -> None:
    """Serve the page that describes a machine into the file ``machine``, until Ctrl-C.

    With a type that it is ``like`` only what matters for getting ``off`` is asked.

    Raises:
        SequencerError: The port is taken, or the survey can't be opened.
    """
    from sequencer.bench.app import survey_page

    if not machine.parent.is_dir():
        raise SequencerError(f"there is no folder {machine.parent}", "make it, or name a file in another")
    where = address(lan=lan, port=port or PORT, secure=tls)
    sessions = Sessions(machine.parent / SESSIONS_FILE, job=str(machine.absolute()))
    with alone_in(machine.parent):
        listening, trusted, where = _listening(where)
        _run(survey_page(machine, sessions, where, like, off), listening, sessions, where, say, trusted)


def kept_port(folder: Path) -> tuple[int | None, bool]:
    """The port that a job keeps, and whether it was served over TLS there.

    A browser keeps what waits under the whole address, port and scheme included.
    """
    try:
        number, *more = (folder / PORT_FILE).read_text(encoding="ascii").split()
        found = int(number)
    except (OSError, ValueError):
        return None, False
    return (found, more == ["tls"]) if 0 < found < 65536 else (None, False)


def keep_port(folder: Path, port: int, *, secure: bool) -> None:
    """Keep the port for the next time."""
    from sequencer.machine.edit.atomic import replace_file

    if kept_port(folder) != (port, secure):
        replace_file(folder / PORT_FILE, f"{port}{' tls' if secure else ''}\n".encode())


@dataclass(frozen=True)
class Trusted:
    """Serving over TLS: who vouches for the page, and where a device gets that from."""

    where: Address
    authority: Authority
    listening: socket.socket
    """Plain, for a device that can't trust the page yet: the authority's certificate and nothing else."""


def _listening(where: Address) -> tuple[socket.socket, Trusted | None, Address]:
    """A socket at the address, what it takes to be trusted there, and the address with where to get that.

    Raises:
        SequencerError: The port is taken, or nobody can vouch for the page there.
    """
    listening, trusted = listen(where), _trusted(where)
    return listening, trusted, trusted.where if trusted else where


def _trusted(where: Address) -> Trusted | None:
    """What it takes to be trusted at an address; None where it is spoken to in the clear.

    Raises:
        SequencerError: The authority can't be read or written, or the address is a public one.
    """
    if not where.secure:
        return None
    from sequencer.bench.access.authority import authority
    from sequencer.job.learning.pace import settings_folder

    kept = authority(settings_folder(), socket.gethostname())
    try:
        plain = listen(replace(where, port=where.port % 65535 + 1))
    except SequencerError:
        plain = listen(replace(where, port=0))  # any that is free: the link says which
    install = f"http://{where.shown}:{plain.getsockname()[1]}/"
    return Trusted(replace(where, install=install), kept, plain)


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


_ENCRYPTED = (
    "Whoever has the link can see and change the job. The connection is encrypted; a device trusts it once "
    "this computer's certificate authority is installed on it, and can then load the page again without a "
    "connection. The authority vouches for addresses in local networks alone."
)


def _run(
    app: ASGIApp,
    listening: socket.socket,
    sessions: Sessions,
    where: Address,
    say: Callable[[str], None],
    trusted: Trusted | None,
) -> None:
    link = f"{where.url}{PAIR}{sessions.invite()}"
    shown_to_others = where.shown != LOOPBACK
    if shown_to_others:
        say(_filled(_ENCRYPTED if trusted else _NETWORK))
    if trusted:
        say(
            f"\nA device that was never here before opens this first:\n\n    {where.install}\n\n"
            f"SHA-256 of the authority:\n{_filled(trusted.authority.fingerprint)}\n"
        )
        if trusted.authority.fresh:
            say(qr_for_terminal(where.install))
    say(f"Open this once on the device that is to see it (it works for ten minutes):\n\n    {link}\n")
    if shown_to_others:
        say(qr_for_terminal(link))  # last, so that no small terminal has lost the top of it
    say("Ctrl-C ends.")
    context = trusted.authority.context(where.host) if trusted else None
    with _installing(trusted):
        server(app, context).run(sockets=[listening])


def server(app: ASGIApp, context: ssl.SSLContext | None = None) -> uvicorn.Server:
    """A server of the page, over TLS where there is a ``context`` for it."""
    import uvicorn

    from sequencer.bench.access.connections import Connection

    config = uvicorn.Config(
        app,
        http=Connection,
        ws="none",
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=1,
    )
    config.load()
    config.ssl = context
    return uvicorn.Server(config)


@contextmanager
def _installing(trusted: Trusted | None) -> Iterator[None]:
    """Serve the page that a new device opens first, beside the other."""
    if trusted is None:
        yield
        return
    from sequencer.bench.access.install import install_page

    beside = server(install_page(trusted.authority, trusted.where))
    thread = Thread(target=beside.run, kwargs={"sockets": [trusted.listening]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        beside.should_exit = beside.force_exit = True
        thread.join(timeout=5)


def _filled(text: str) -> str:
    return fill(text, min(shutil.get_terminal_size().columns, 100) - 1, break_on_hyphens=False)
