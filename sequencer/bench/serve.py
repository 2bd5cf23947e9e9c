"""Running the page: which addresses it answers to, the first invitation, and the server itself."""

from __future__ import annotations

import socket
from collections.abc import Callable
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from sequencer.bench.pairing import PAIR, Sessions
from sequencer.errors import SequencerError

if TYPE_CHECKING:
    from starlette.types import ASGIApp

LOOPBACK = "127.0.0.1"
SESSIONS_FILE = ".bench-devices.json"


@dataclass(frozen=True)
class Address:
    """Where the page is found.

    Attributes:
        host: The address that the server listens on.
        shown: The address that goes into links.
        names: The values of ``Host`` that it answers to.
    """

    host: str
    port: int
    shown: str
    names: frozenset[str]

    @property
    def url(self) -> str:
        """The page, without a path."""
        return f"http://{self.shown}:{self.port}"


def address(*, lan: bool, port: int) -> Address:
    """Loopback alone, or this machine's own address in the local network as well.

    Raises:
        SequencerError: No network to be found in.
    """
    names = {LOOPBACK, "localhost", "[::1]"}
    if not lan:
        return Address(LOOPBACK, port, LOOPBACK, _with_port(names, port))
    own = _own_address()
    return Address(own, port, own, _with_port(names | {own}, port))


def _with_port(names: set[str], port: int) -> frozenset[str]:
    return frozenset(f"{name}:{port}" for name in names) | (frozenset(names) if port == 80 else frozenset())


def _own_address() -> str:
    """The address that the local network knows this machine by; nothing is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # From RFC 5737: an address that belongs to nobody. Connecting a datagram socket sends nothing.
            probe.connect(("192.0.2.1", 9))
            found = str(probe.getsockname()[0])
        except OSError:
            found = ""
    if not found or found.startswith(("127.", "0.")):
        raise SequencerError(
            "this machine is in no network that a phone could reach it in",
            "join one, or leave out --lan to use the page on this machine alone",
        )
    return found


def qr_for_terminal(url: str) -> str:
    """The link as a QR code of block characters, for the camera of a phone."""
    import segno

    out = StringIO()
    segno.make(url, error="m").terminal(out, border=2, compact=True)
    return out.getvalue()


def serve(folder: Path, where: Address, say: Callable[[str], None]) -> None:
    """Serve the page of a job folder until Ctrl-C.

    Raises:
        SequencerError: The port is taken, or there is no job that can be opened.
    """
    from sequencer.bench.app import page

    sessions = Sessions(folder / SESSIONS_FILE)
    _serve(lambda: page(folder, sessions, where), sessions, where, say)


def serve_survey(machine: Path, where: Address, say: Callable[[str], None]) -> None:
    """Serve the page that describes a machine into the file ``machine``, until Ctrl-C.

    Raises:
        SequencerError: The port is taken, or the survey can't be opened.
    """
    from sequencer.bench.app import survey_page

    if not machine.parent.is_dir():
        raise SequencerError(f"there is no folder {machine.parent}", "make it, or name a file in another")
    sessions = Sessions(machine.parent / SESSIONS_FILE)
    _serve(lambda: survey_page(machine, sessions, where), sessions, where, say)


def _serve(
    made: Callable[[], ASGIApp], sessions: Sessions, where: Address, say: Callable[[str], None]
) -> None:
    import uvicorn

    app = made()
    listening = _listen(where)
    link = f"{where.url}{PAIR}{sessions.invite()}"
    if where.shown != LOOPBACK:
        say(qr_for_terminal(link))
        say("Whoever is in this network and has the link can see and change the job.")
    say(f"Open this once on the device that is to see it (it works for ten minutes):\n\n    {link}\n")
    say("Ctrl-C ends.")
    config = uvicorn.Config(app, log_level="warning", server_header=False, timeout_graceful_shutdown=1)
    uvicorn.Server(config).run(sockets=[listening])


def _listen(where: Address) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((where.host, where.port))
    except OSError as fault:
        listening.close()
        raise SequencerError(
            f"the page can't be served at {where.host}:{where.port}: {fault.strerror}",
            "give another port with --port, or end what uses this one",
        ) from fault
    return listening
