"""Who may see the page: one-time invitations, and the devices that took one.

An invitation is a random token in a link. It works once and for ten minutes; who opens the link and says so
gets a session cookie. Only hashes of tokens are kept, in a file that its owner alone can read, so that a
restart of the server does not turn everyone away and a copy of the file lets no one in.
"""

from __future__ import annotations

import hmac
import json
import secrets
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path

PAIR = "/pair/"
"""Where invitations are taken: ``/pair/TOKEN``."""
INVITATION_SECONDS = 10 * 60
SESSION_SECONDS = 30 * 24 * 60 * 60
SESSIONS_AT_MOST = 50
"""The oldest goes first: a bench has no more devices than that."""


@dataclass(frozen=True)
class Session:
    """A device that was invited.

    Attributes:
        key: Hash of the cookie; the cookie itself is kept by the device alone.
        device: What the person calls the device; stands beside every event it writes.
        person: Who works with it.
        until: When it ends, in seconds of Unix time.
    """

    key: str
    device: str
    person: str
    until: float

    @property
    def csrf(self) -> str:
        """The token that its forms carry, 128 bits: derived, so that it needs no keeping."""
        return hmac.new(self.key.encode(), b"csrf", sha256).hexdigest()[:32]


class Sessions:
    """Invitations that are open and devices that are paired.

    Args:
        file: Where the paired devices are kept between two starts of the server.
        now: The clock, Unix seconds.
        job: What is served, by any name that is its own. A browser has one cookie of a name for a host,
            whatever the port; with a name for each, the pages of two jobs don't unpair each other.
    """

    def __init__(self, file: Path, now: Callable[[], float] = time.time, job: str = "") -> None:
        self.cookie = f"sequencer-bench-{_hash(job)[:12]}"
        self._file = file
        self._now = now
        self._invitations: dict[str, float] = {}
        self._paired: dict[str, Session] = _kept(file)

    def invite(self) -> str:
        """A new token for a link; it works once."""
        self._invitations = {key: until for key, until in self._invitations.items() if until > self._now()}
        token = secrets.token_urlsafe(24)
        self._invitations[_hash(token)] = self._now() + INVITATION_SECONDS
        return token

    def is_invited(self, token: str) -> bool:
        """Whether the token would still work; it is not used up by asking."""
        return self._invitations.get(_hash(token), 0.0) > self._now()

    def pair(self, token: str, device: str, person: str) -> str | None:
        """Use up an invitation: the cookie for the device, or None where the token doesn't work."""
        if self._invitations.pop(_hash(token), 0.0) <= self._now():
            return None
        cookie = secrets.token_urlsafe(32)
        session = Session(_hash(cookie), device, person, self._now() + SESSION_SECONDS)
        self._paired[session.key] = session
        self._keep()
        return cookie

    def of(self, cookie: str | None) -> Session | None:
        """The session of a cookie, unless it is unknown or over."""
        session = self._paired.get(_hash(cookie)) if cookie else None
        return session if session is not None and session.until > self._now() else None

    def end(self, session: Session) -> None:
        """The device is no longer paired."""
        self._paired.pop(session.key, None)
        self._keep()

    def devices(self) -> tuple[Session, ...]:
        """Every device that is paired, the newest first."""
        return tuple(sorted(self._paired.values(), key=lambda session: -session.until))

    def _keep(self) -> None:
        from sequencer.machine.edit.atomic import replace_file

        current = [one for one in self.devices() if one.until > self._now()][:SESSIONS_AT_MOST]
        self._paired = {one.key: one for one in current}
        self._file.touch(mode=0o600)  # rights are kept from here on
        replace_file(self._file, json.dumps([asdict(one) for one in current], indent=1).encode())


def _kept(file: Path) -> dict[str, Session]:
    """What the last run of the server kept; a file that can't be understood pairs nobody."""
    try:
        found = [Session(**entry) for entry in json.loads(file.read_text(encoding="utf-8"))]
    except (OSError, ValueError, TypeError):
        return {}
    return {session.key: session for session in found}


def _hash(token: str) -> str:
    return sha256(token.encode()).hexdigest()
