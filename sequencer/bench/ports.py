"""Ports: the one that a folder keeps, listening at it, and a server that runs there."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from sequencer.bench.access.address import Address
from sequencer.errors import SequencerError

if TYPE_CHECKING:
    import ssl

    import uvicorn
    from starlette.types import ASGIApp

PORT_FILE = ".bench-port"
BACKLOG = 128
"""Connections that the system takes for the server until it comes to them."""


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


def moved(before: int | None, was_secure: bool, where: Address) -> str:
    """What to mind where a job is served at another address than before; empty where it is not."""
    if before is None or (before, was_secure) == (where.port, where.secure):
        return ""
    way = f"--port {before}{' --lan --tls' if was_secure else ' and without --tls' if where.secure else ''}"
    return (
        f"This job was served at port {before} {'with' if was_secure else 'without'} TLS before. "
        f"A device that still holds entries sends them only there: if one does, serve it with {way} "
        "once more."
    )


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
            "stop what uses this port, or give another with --port; the job keeps that one from then on",
        ) from fault
    return listening


def server(app: ASGIApp, context: ssl.SSLContext | None = None) -> uvicorn.Server:
    """A server of the page, over TLS where there is a ``context`` for it."""
    import uvicorn

    from sequencer.bench.access.connections import Connection

    config = uvicorn.Config(
        app,
        http=Connection,
        ws="none",
        lifespan="off",  # nothing to begin or end with; one that is cut off would end in a traceback
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=1,
    )
    config.load()
    config.ssl = context
    return uvicorn.Server(config)


@contextmanager
def beside(app: ASGIApp, listening: socket.socket, context: ssl.SSLContext | None = None) -> Iterator[None]:
    """Serve ``app`` in a thread with a loop of its own: what hangs there holds up nobody else."""
    running = server(app, context)
    thread = Thread(target=running.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        running.should_exit = running.force_exit = True
        thread.join(timeout=5)
        listening.close()
