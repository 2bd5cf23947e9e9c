"""Who may see the page: one-time invitations, and the devices that took one.

An invitation is a random token in a link. It works once and for ten minutes; who opens the link and says so
gets a session cookie. Only hashes of tokens are kept, in a file that its owner alone can read, so that a
restart of the server does not turn everyone away and a copy of the file lets no one in.

An invitation is to all jobs that are served, those begun later included, or to some of them. What a device
may see, it may invite others to; nobody hands on more than they have.
"""

from __future__ import annotations

import hmac
import json
import secrets
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from hashlib import sha256
from pathlib import Path
from threading import Lock

PAIR = "/pair/"
"""Where invitations are taken: ``/pair/TOKEN``."""
INVITATION_SECONDS = 10 * 60
SESSION_SECONDS = 30 * 24 * 60 * 60
SESSIONS_AT_MOST = 50
"""The oldest goes first: a bench has no more devices than that."""
_NONE: tuple[float, None] = (0.0, None)
"""An invitation that was never made, or is used up."""


@dataclass(frozen=True)
class Session:
    """A device that was invited.

    Attributes:
        key: Hash of the cookie; the cookie itself is kept by the device alone.
        device: What the person calls the device; stands beside every event it writes.
        person: Who works with it.
        until: When it ends, in seconds of Unix time.
        jobs: The ids of the jobs that it may see and change; None: all that are served.
    """

    key: str
    device: str
    person: str
    until: float
    jobs: tuple[str, ...] | None = None

    def may(self, job: str) -> bool:
        """Whether it may see and change a job."""
        return self.jobs is None or job in self.jobs

    def covers(self, other: Session) -> bool:
        """Whether it may do all that the other may: then it may send that one away."""
        return self.jobs is None or (other.jobs is not None and set(other.jobs) <= set(self.jobs))

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
        self._lock = Lock()
        self._invitations: dict[str, tuple[float, tuple[str, ...] | None]] = {}
        self._paired: dict[str, Session] = _kept(file)

    def invite(self, jobs: tuple[str, ...] | None = None) -> str:
        """A new token for a link to these ``jobs``, or to all (None); it works once."""
        token, now = secrets.token_urlsafe(24), self._now()
        with self._lock:
            self._invitations = {key: one for key, one in self._invitations.items() if one[0] > now}
            self._invitations[_hash(token)] = now + INVITATION_SECONDS, jobs
        return token

    def is_invited(self, token: str) -> bool:
        """Whether the token would still work; it is not used up by asking."""
        return self._invitations.get(_hash(token), _NONE)[0] > self._now()

    def pair(self, token: str, device: str, person: str, before: Session | None = None) -> str | None:
        """Use up an invitation: the cookie for the device, or None where the token doesn't work.

        A device that was paired ``before`` keeps the jobs that it had: it is one device, under a new cookie.
        """
        with self._lock:
            until, jobs = self._invitations.pop(_hash(token), _NONE)
            if until <= self._now():
                return None
            if before is not None and before.key in self._paired:
                del self._paired[before.key]
                both = None if jobs is None or before.jobs is None else (*before.jobs, *jobs)
                jobs = both and tuple(dict.fromkeys(both))
            cookie = secrets.token_urlsafe(32)
            session = Session(_hash(cookie), device, person, self._now() + SESSION_SECONDS, jobs)
            self._paired[session.key] = session
            self._keep()
        return cookie

    def of(self, cookie: str | None) -> Session | None:
        """The session of a cookie, unless it is unknown or over."""
        session = self._paired.get(_hash(cookie)) if cookie else None
        return session if session is not None and session.until > self._now() else None

    def end(self, session: Session) -> None:
        """The device is no longer paired."""
        with self._lock:
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
        entries = json.loads(file.read_text(encoding="utf-8"))
        found = [replace(one, jobs=_jobs(one.jobs)) for one in (Session(**entry) for entry in entries)]
    except (OSError, ValueError, TypeError):
        return {}
    return {session.key: session for session in found}


def _jobs(told: object) -> tuple[str, ...] | None:
    """The jobs of a kept session; what is no list of ids lets it see none."""
    return None if told is None else tuple(map(str, told)) if isinstance(told, list) else ()


def _hash(token: str) -> str:
    return sha256(token.encode()).hexdigest()
