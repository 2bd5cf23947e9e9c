"""What a connection may take of the server before it has asked for anything.

Whoever reaches the port can open connections and say nothing, or a letter a minute. Each such connection ends
after a while, and when there are too many the one that has waited longest makes room: a device that asks is
answered, whatever else hangs on the line.
"""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

HEADER_SECONDS = 10.0
"""A phone at the edge of the network sends its request within one or two."""
CONNECTIONS_AT_MOST = 200
"""A browser opens six; a bench has a handful of devices."""


class Connection(H11Protocol):
    """One connection: while it has no request in hand a deadline runs; no dribble of letters puts it off."""

    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take it, and let the oldest idle one go where there are too many."""
        super().connection_made(transport)
        self._wait()
        if len(self.connections) > CONNECTIONS_AT_MOST:
            idle = [one for one in self.connections if isinstance(one, Connection) and one.due]
            min(idle, key=lambda one: one.due).hang_up()

    def data_received(self, data: bytes) -> None:
        """Take what came; the deadline ends with the request's last header."""
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._cancel()
        elif self._deadline is None and not self.transport.is_closing():
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """It is gone."""
        self._cancel()
        super().connection_lost(exc)

    @property
    def due(self) -> float:
        """When it is given up, by the loop's clock; 0 while it has a request in hand."""
        return self._deadline.when() if self._deadline else 0.0

    def hang_up(self) -> None:
        """End it without a word: there is nobody to say it to."""
        self._cancel()
        self.connections.discard(self)
        self.transport.abort()

    def _wait(self) -> None:
        self._deadline = self.loop.call_later(HEADER_SECONDS, self.hang_up)

    def _cancel(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None
