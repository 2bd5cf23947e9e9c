"""Where the page is found: on this machine alone, or in the local network too."""

from __future__ import annotations

import socket
from dataclasses import dataclass, replace

from sequencer.errors import SequencerError

LOOPBACK = "127.0.0.1"


@dataclass(frozen=True)
class Address:
    """Where the page is found.

    Attributes:
        host: The address that the server listens on.
        shown: The address that goes into links.
        names: The values of ``Host`` that it answers to.
        secure: Whether it is spoken to over TLS.
        install: Where a device gets what it must trust first; empty where nothing is needed.
    """

    host: str
    port: int
    shown: str
    names: frozenset[str]
    secure: bool = False
    install: str = ""

    @property
    def read_along(self) -> bool:
        """Whether others in the network can read what goes over it."""
        return not self.secure and self.shown != LOOPBACK

    def at(self, port: int) -> Address:
        """The same at another port."""
        return replace(self, port=port, names=_with_port({LOOPBACK, "localhost", "[::1]", self.shown}, port))

    @property
    def url(self) -> str:
        """The page, without a path."""
        return f"{'https' if self.secure else 'http'}://{self.shown}:{self.port}"


def address(*, lan: bool, port: int, secure: bool = False) -> Address:
    """Loopback alone, or this machine's own address in the local network as well.

    Raises:
        SequencerError: No network to be found in.
    """
    names = {LOOPBACK, "localhost", "[::1]"}
    if not lan:
        return Address(LOOPBACK, port, LOOPBACK, _with_port(names, port), secure)
    own = _own_address()
    return Address(own, port, own, _with_port(names | {own}, port), secure)


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
            "this computer is on no network that a phone could reach it by",
            "join one, or leave out --lan to use the page on this computer alone",
        )
    return found
