"""The door of the page: what is refused before any of the page's own code sees it.

Everything passes here: the host it was asked for (so that no other site's name can be pointed at this
machine), the size of what is sent, and whether the device is paired. What goes out gets the headers that keep
other sites, frames and scripts away.
"""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse

from sequencer.bench.access.pairing import PAIR
from sequencer.bench.plain_page import bare_page

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from sequencer.bench.access.address import Address
    from sequencer.bench.access.pairing import Sessions

BODY_AT_MOST = 64 * 1024
PHOTO_AT_MOST = 20 * 1024 * 1024
"""A phone's picture is 3 to 12 MB."""

_SAFE = frozenset({"GET", "HEAD"})
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
        "worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), camera=()",
    "Cache-Control": "no-store",
}


class Guard:
    """ASGI middleware around the whole page.

    Args:
        app: The page.
        sessions: Who is paired.
        where: The page's address; only what was asked for there is answered.
        job: The id of the job that it is the page of: for devices that may see that; empty: for any.
        about: What the page's code finds in a request's ``state``: the job, the jobs or the survey.
    """

    def __init__(
        self, app: ASGIApp, sessions: Sessions, where: Address, job: str = "", **about: object
    ) -> None:
        self._app = app
        self._sessions = sessions
        self._hosts = where.names
        self._job = job
        self._about = {**about, "sessions": sessions, "where": where}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with who asks, and about what, in ``scope["state"]``."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)
        send = _with_headers(send)
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        limit = PHOTO_AT_MOST if scope["path"].startswith("/photo") else BODY_AT_MOST
        body = _Body(receive, limit)
        if body.declared(headers) > limit:
            await bare_page(413, BodyTooLargeError(limit).detail)(scope, receive, send)
            return
        await self._app(scope, body.receive, send)

    def _refusal(self, scope: Scope, headers: Headers) -> HTMLResponse | None:
        if headers.get("host", "").lower() not in self._hosts:
            return bare_page(421)
        if scope["method"] not in _SAFE and not self._from_here(headers):
            return bare_page(403, "This came from another site.")
        scope["state"] = dict(self._about)
        session = self._sessions.of(_cookie(headers, self._sessions.cookie))
        scope["state"]["session"] = session
        if self._is_invited(scope["path"]):
            return None
        if session is None:
            return bare_page(401)
        if self._job and not session.may(self._job):
            return bare_page(401, "It was not invited to this job.")
        return None

    def _is_invited(self, path: str) -> bool:
        token = path.removeprefix(PAIR).partition("/")[0]
        return path.startswith(PAIR) and self._sessions.is_invited(token)

    def _from_here(self, headers: Headers) -> bool:
        """Whether a browser says that the request comes from this site's own pages (or is none)."""
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return False
        origin = headers.get("origin")
        return origin is None or origin.partition("://")[2].lower() == headers["host"].lower()


class BodyTooLargeError(HTTPException):
    """More was sent than is taken: met while a form is read, so that the page's own handlers answer it."""

    def __init__(self, limit: int) -> None:
        super().__init__(413, f"That is too large: at most {limit // 1024} KiB are taken here.")


class _Body:
    """What is sent to the page, counted while it comes in."""

    def __init__(self, receive: Receive, limit: int) -> None:
        self._receive = receive
        self._limit = limit
        self._left = limit

    @staticmethod
    def declared(headers: Headers) -> int:
        """What the request says of its own size; 0 where it says nothing that can be read."""
        said = headers.get("content-length", "0")
        return int(said) if said.isascii() and said.isdigit() else 0

    async def receive(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            raise BodyTooLargeError(self._limit)
        return message


def _cookie(headers: Headers, name: str) -> str | None:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return None
    return found.value if found else None


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sent
