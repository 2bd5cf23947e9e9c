"""Running the page: its port, the first invitation, and the server itself."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

from sequencer.bench.access.address import LOOPBACK, Address, address
from sequencer.bench.access.one_server import alone_in
from sequencer.bench.access.pairing import PAIR, Sessions
from sequencer.bench.ports import beside, keep_port, kept_port, listen, moved, server
from sequencer.errors import SequencerError

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from sequencer.bench.access.authority import Authority

SESSIONS_FILE = ".bench-devices.json"
PORT = 8765
"""The port of a job that was never served."""
PORT_OF_JOBS = 8700
"""That of a list of jobs; those that keep no port get the next ones."""


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
        if words := moved(before, was_secure, where):
            say(words)
        _run(app, listening, sessions, where, say, trusted)


def serve_jobs(
    folder: Path,
    say: Callable[[str], None],
    *,
    lan: bool = False,
    port: int | None = None,
    tls: bool = False,
    database: str = "",
) -> None:
    """Serve all jobs of a folder and the list of them, until Ctrl-C; of one ``database`` alone, if named.

    Raises:
        SequencerError: There is no such folder, its port is taken, or it is served already.
    """
    from sequencer.bench.app import jobs_page, page_of
    from sequencer.bench.yard import Yard

    if not folder.is_dir():
        raise SequencerError(f"there is no folder {folder}", "name the one that your jobs' folders are in")
    folder = folder.absolute()
    where = address(lan=lan, port=port or kept_port(folder)[0] or PORT_OF_JOBS, secure=tls)
    sessions = Sessions(folder / SESSIONS_FILE, job=str(folder))
    with alone_in(folder):
        listening, trusted, where = _listening(where)
        keep_port(folder, where.port, secure=tls)
        context = trusted.authority.context(where.host) if trusted else None
        with Yard(folder, sessions, where, say, context, database, page=page_of) as yard:
            for stand in yard.stands():
                say(f"{stand.title}: {stand.fault or f'at port {stand.port}'}")
            _run(jobs_page(yard), listening, sessions, where, say, trusted)


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


_NETWORK = (
    "Whoever is in this network and has the link can see and change what is served. The connection is not "
    "encrypted: others in the network can read what goes over it, and use what they read. Use a "
    "network that you trust."
)


_ENCRYPTED = (
    "Whoever has the link can see and change what is served. The connection is encrypted; a device trusts it "
    "once this computer's certificate authority is installed on it, and can then load the page again "
    "without a connection. The authority vouches for addresses in local networks only."
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


def _installing(trusted: Trusted | None) -> AbstractContextManager[None]:
    """Serve the page that a new device opens first, beside the other."""
    if trusted is None:
        return nullcontext()
    from sequencer.bench.access.install import install_page

    return beside(install_page(trusted.authority, trusted.where), trusted.listening)


def _filled(text: str) -> str:
    return fill(text, min(shutil.get_terminal_size().columns, 100) - 1, break_on_hyphens=False)
