"""The jobs of a folder, each served at a port of its own beside the page that lists them.

A port each keeps the jobs apart by the browser's own rules: what a device keeps for one (entries that wait,
photos, pages without a connection) is out of reach of another's page, and stays where it was when the job was
served alone. A device's cookie is for the host, whatever the port: one pairing is for all of them, and the
door of each job asks whether it is to that job, too. Each has a thread and a loop of its own: one that hangs
holds up no other.
"""

from __future__ import annotations

import socket
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Self

from sequencer.bench.access.address import Address
from sequencer.bench.access.one_server import alone_in
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.page import Bench
from sequencer.bench.ports import beside, keep_port, kept_port, listen, moved
from sequencer.bench.remedies import for_a_thumb
from sequencer.document.jobs.glance import Glance, glance
from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from sequencer.job.journal.card import CARD, read_card
from sequencer.job.journal.folder import JobFolder
from sequencer.job.journal.journal import Journal

if TYPE_CHECKING:
    import ssl

    from starlette.types import ASGIApp

PORTS = 500
"""How many ports after that of the list are tried for a job that keeps none."""
PATIENCE_SECONDS = 2.0
"""How long the list waits for its jobs: one that hangs is shown as that."""


@dataclass
class Berth:
    """A job of the folder: served, or with the ``fault`` that keeps it from that."""

    id: str = ""
    title: str = ""
    port: int = 0
    fault: str = ""
    desk: Desk | None = None
    ends: ExitStack = field(default_factory=ExitStack)
    _asking: Future[Glance] | None = None
    _asked: ThreadPoolExecutor | None = None

    def ask(self) -> Future[Glance] | None:
        """How the job looks now; a question that has no answer yet is not asked again."""
        if self.desk is None:
            return None
        if self._asked is None:
            self._asked = ThreadPoolExecutor(1)
            self.ends.callback(self._asked.shutdown, wait=False, cancel_futures=True)
        if self._asking is None or self._asking.done():
            desk = self.desk
            self._asking = self._asked.submit(lambda: glance(desk.moment()))
        return self._asking

    def close(self) -> None:
        """Serve it no more."""
        self.ends.close()


class Yard:
    """The jobs of ``folder``, as they come and go.

    Args:
        folder: Its subfolders are the jobs; hidden ones are none.
        sessions: Who is paired, and with which of the jobs.
        where: The address of the list; the jobs are at other ports of it.
        say: For the terminal.
        context: For TLS.
        page: Makes the page of a job.
        database: Only the jobs whose journals are in that database; empty: all.
    """

    def __init__(
        self,
        folder: Path,
        sessions: Sessions,
        where: Address,
        say: Callable[[str], None],
        context: ssl.SSLContext | None = None,
        database: str = "",
        *,
        page: Callable[[Bench], ASGIApp],
    ) -> None:
        self.folder = folder
        self.sessions = sessions
        self.where = where
        self._say = say
        self._context = context
        self._database = database
        self._page = page
        self._stands: dict[Path, Berth] = {}
        self._lock = Lock()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        for stand in self._stands.values():
            stand.close()

    def stands(self) -> list[Berth]:
        """The jobs that are there now: new ones are served from here on, those that are gone no more."""
        with self._lock:
            found = sorted(card.parent for card in self.folder.glob(f"[!.]*/{CARD}"))
            for gone in self._stands.keys() - set(found):
                self._stands.pop(gone).close()
            # Whoever keeps a port takes it before the others look for one that is free.
            for folder in sorted(found, key=lambda one: kept_port(one)[0] is None):
                if folder not in self._stands or self._stands[folder].desk is None:
                    self._stands[folder] = self._opened(folder)
            shown = [self._stands[one] for one in found]
        return [one for one in shown if one.fault or one.desk is not None]

    def elsewhere(self) -> list[str]:
        """The ids of the jobs in the database whose folders are not here.

        Raises:
            JournalError: The database can't be read.
        """
        if not self._database:
            return []
        here = {stand.id for stand in self._stands.values()}
        return [job for job in Journal.jobs_in(self._database) if job not in here]

    def _opened(self, folder: Path) -> Berth:
        stand = Berth(title=folder.name)
        try:
            job = JobFolder(folder, read_card(folder / CARD), bare=True)
            stand.id, stand.title = job.card.id, job.card.title
            if not self._database or job.card.database == self._database:
                self._serve(stand, job)
        except SequencerError as why:
            stand.close()
            stand.desk, stand.fault = None, for_a_thumb(why)
        return stand

    def _serve(self, stand: Berth, job: JobFolder) -> None:
        stand.ends.enter_context(alone_in(job.path))
        desk = stand.ends.enter_context(Desk(job))
        before, was_secure = kept_port(job.path)
        listening, where = self._listening(before)
        stand.ends.callback(listening.close)
        keep_port(job.path, where.port, secure=where.secure)
        if words := moved(before, was_secure, where):
            self._say(f"{job.card.title}: {words}")
        bench = Bench(desk, self.sessions, where, job.card.id, self.where.port)
        stand.ends.enter_context(beside(self._page(bench), listening, self._context))
        stand.port, stand.desk = where.port, desk

    def _listening(self, before: int | None) -> tuple[socket.socket, Address]:
        """A socket at the port that a job was served at ``before``, or else at the next that is free."""
        after = range(self.where.port + 1, min(self.where.port + 1 + PORTS, 65536))
        for port in (*([before] if before else ()), *after):
            where = self.where.at(port)
            try:
                return listen(where), where
            except SequencerError:
                continue
        raise SequencerError(
            f"no port from {after.start} to {after.stop - 1} is free for this job",
            "stop what uses them, or give the list another with --port",
        )


def glances(stands: Sequence[Berth]) -> list[Glance]:
    """How each looks now; one that does not answer in time, or can't, with that as its fault."""
    asked = [stand.ask() for stand in stands]
    wait([one for one in asked if one is not None], timeout=PATIENCE_SECONDS)
    return [_seen(stand, one) for stand, one in zip(stands, asked, strict=True)]


def _seen(stand: Berth, asked: Future[Glance] | None) -> Glance:
    nothing = Glance(stand.title, "", "", "", "", running=False, waits=(), fault=stand.fault)
    if asked is None:
        return nothing
    if not asked.done():
        return replace(nothing, fault="It is still being read. Load this list again in a moment.")
    try:
        return asked.result()
    except SequencerError as why:
        return replace(nothing, fault=for_a_thumb(why))
    except Exception:  # noqa: BLE001 - whatever it is, the other jobs are shown
        return replace(nothing, fault="It can't be read; open it, and the terminal says what is wrong.")
