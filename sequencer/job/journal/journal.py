"""The journal: events are added at its end and never changed.

The order is the database's, not that of any clock. An event whose id is there already is not added again.
Whoever adds holds the only pen: what was judged inside ``writing`` still holds when it is written.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.job.journal.bodies import fault
from sequencer.job.journal.database import (
    PATIENCE_SECONDS,
    WRITES,
    JournalError,
    engine_for,
    explained,
    is_file,
)
from sequencer.job.journal.events import Event, EventKind, Recorded, body_text, checked
from sequencer.machine.faults import quote

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine, Table

FORMAT = 2
"""Raised when an older program can no longer read what is written. In 1 the machine file's text was not."""

LOCK_NOT_AVAILABLE = "55P03"
"""What PostgreSQL calls a wait for a lock that was given up (postgresql.org, appendix A)."""

MOST_RAW = 400
"""Characters that are kept of the body of an event that makes no sense."""

_SOME_DATABASE = "the database of this job"

_NEVER = datetime.fromtimestamp(0, UTC)

MOST_AT_ONCE = 500
"""Ids in one question: databases bound how many a statement may have."""


@dataclass(frozen=True)
class _Tables:
    job: Table
    event: Table


@cache
def _tables() -> _Tables:
    """One table of jobs and one of events: a shop keeps all its jobs in one database."""
    from sqlalchemy import BigInteger, Column, ForeignKey, Index, Integer, MetaData, Table, Text

    data = MetaData()
    job = Table("sequencer_job", data, Column("id", Text, primary_key=True), Column("format", Integer))
    event = Table(
        "sequencer_event",
        data,
        Column("seq", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True),
        Column("id", Text, nullable=False, unique=True),
        Column("job", Text, ForeignKey(job.c.id), nullable=False),
        Column("time", Text, nullable=False),
        Column("recorded", Text, nullable=False),
        Column("person", Text, nullable=False),
        Column("device", Text, nullable=False),
        Column("kind", Text, nullable=False),
        Column("body", Text, nullable=False),
        sqlite_autoincrement=True,
    )
    Index("sequencer_event_of_job", event.c.job, event.c.seq)
    return _Tables(job, event)


class Journal:
    """The journal of one job. Safe to use from several threads; each process opens its own."""

    def __init__(self, engine: Engine, job: str, where: str) -> None:
        self._engine = engine
        self._tables = _tables()
        self._job = job
        self._where = where

    @classmethod
    def create(cls, database: str, folder: Path, job: str) -> Journal:
        """Begin the journal of ``job``.

        Raises:
            JournalError: The database can't be written, or has that job.
        """
        where = str(folder / database) if is_file(database) else _SOME_DATABASE
        journal = cls(engine_for(database, folder, create=True), job, where)
        from sqlalchemy import insert

        try:
            with journal._transaction(writes=True) as connection:
                journal._tables.job.metadata.create_all(connection)
                connection.execute(insert(journal._tables.job).values(id=job, format=FORMAT))
        except JournalError:
            journal.close()
            raise
        return journal

    @classmethod
    def open(cls, database: str, folder: Path, job: str, called: Callable[[Path], str] = str) -> Journal:
        """Open the journal of ``job``; ``called`` says what messages call its file.

        Raises:
            JournalError: It is not there, can't be read, or was written by a newer program.
        """
        from sqlalchemy import select

        where = called(folder / database) if is_file(database) else _SOME_DATABASE
        journal = cls(engine_for(database, folder), job, where)
        try:
            with journal._transaction() as connection:
                table = journal._tables.job
                found = connection.execute(select(table.c.format).where(table.c.id == job)).scalar()
            journal._known(found)
        except JournalError:
            journal.close()
            raise
        return journal

    @staticmethod
    def jobs_in(database: str) -> tuple[str, ...]:
        """The ids of all jobs that a shop's database has.

        Raises:
            JournalError: It can't be read.
        """
        from sqlalchemy import select

        journal = Journal(engine_for(database, Path()), "", "the database of these jobs")
        try:
            with journal._transaction() as connection:
                ids = select(journal._tables.job.c.id).order_by(journal._tables.job.c.id)
                return tuple(connection.scalars(ids))
        finally:
            journal.close()

    def _known(self, found: int | None) -> None:
        if found is None:
            raise JournalError(
                f"{self._where} has no job {self._job}", "check `database` and `id` in job.yaml"
            )
        if found > FORMAT:
            raise JournalError(
                f"{self._where} was written by a newer version of this program", "update this one"
            )

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def since(self, seq: int = 0) -> list[Recorded]:
        """The events after ``seq``, in order."""
        with self._transaction() as connection:
            return _since(connection, self._tables, self._job, seq)

    def append(self, events: Sequence[Event]) -> list[Recorded]:
        """Add ``events``, all or none; returns those that were not there before.

        Raises:
            JournalError: The journal can't be written; none of them is in it then.
            EventError: One of them is no event.
        """
        with self.writing() as pen:
            return pen.add(events)

    @contextmanager
    def writing(self) -> Iterator[Pen]:
        """Hold the only pen: what ``Pen.since`` reads stays true until what is added is written.

        All that was added is on the disk when the block ends, or, if it raises, none of it.
        """
        with self._transaction(writes=True) as connection:
            if not is_sqlite(self._engine):
                self._take_turn(connection)
            yield Pen(connection, self._tables, self._job)

    def _take_turn(self, connection: Connection) -> None:
        """Wait for the pen a second at a time: so a server that hangs is told from one that is busy."""
        from sqlalchemy.exc import OperationalError

        table = self._tables.job
        asked = table.select().where(table.c.id == self._job).with_for_update()
        end = time.monotonic() + PATIENCE_SECONDS
        connection.exec_driver_sql("SET LOCAL lock_timeout = '1s'")
        while True:
            try:
                with connection.begin_nested():
                    connection.execute(asked)
            except OperationalError as why:
                if getattr(why.orig, "sqlstate", "") != LOCK_NOT_AVAILABLE:
                    raise
                if time.monotonic() > end:
                    raise JournalError(
                        f"{self._where} has been busy for {PATIENCE_SECONDS} s",
                        "end the program that holds it, then say it again",
                    ) from why
            else:
                return

    def drop(self) -> None:
        """Take the whole job out of the database: for a job folder that could not be made after all."""
        with self._transaction(writes=True) as connection:
            event, job = self._tables.event, self._tables.job
            connection.execute(event.delete().where(event.c.job == self._job))
            connection.execute(job.delete().where(job.c.id == self._job))

    @contextmanager
    def _transaction(self, *, writes: bool = False) -> Iterator[Connection]:
        from sqlalchemy.exc import SQLAlchemyError

        try:
            with self._engine.connect() as opened:
                connection = opened.execution_options(**{WRITES: writes})
                with connection.begin():
                    yield connection
        except SQLAlchemyError as why:
            raise explained(why, self._where) from why


class Pen:
    """The right to add to a journal, while ``Journal.writing`` lasts."""

    def __init__(self, connection: Connection, tables: _Tables, job: str) -> None:
        self._connection = connection
        self._tables = tables
        self._job = job

    def since(self, seq: int = 0) -> list[Recorded]:
        """The events after ``seq``, in order, as they are now."""
        return _since(self._connection, self._tables, self._job, seq)

    def known(self, ids: Sequence[str]) -> dict[str, Recorded]:
        """Those of ``ids`` that are in the journal already."""
        table = self._tables.event
        found: dict[str, Recorded] = {}
        for start in range(0, len(ids), MOST_AT_ONCE):
            some = ids[start : start + MOST_AT_ONCE]
            rows = self._connection.execute(table.select().where(table.c.id.in_(some)))
            found.update((row.id, _recorded(row)) for row in rows)
        return found

    def add(self, events: Sequence[Event]) -> list[Recorded]:
        """Add ``events`` at the end; those that are there already are left out.

        Raises:
            EventError: One of them is no event.
            JournalError: The id of one of them belongs to another event.
        """
        wanted = {event.id: event for event in map(checked, events)}
        known = self.known(list(wanted))
        for identity, there in known.items():
            _same(wanted[identity], there.event)
        fresh = [event for identity, event in wanted.items() if identity not in known]
        if not fresh:
            return []
        from sqlalchemy import insert

        if any(event.kind is EventKind.MACHINE for event in fresh):
            job = self._tables.job
            self._connection.execute(job.update().where(job.c.id == self._job).values(format=FORMAT))
        recorded = datetime.now(UTC)
        rows = [self._row(event, recorded) for event in fresh]
        self._connection.execute(insert(self._tables.event), rows)
        now = self.known([event.id for event in fresh])
        return sorted(now.values(), key=lambda one: one.seq)

    def _row(self, event: Event, recorded: datetime) -> dict[str, str]:
        return {
            "id": event.id,
            "job": self._job,
            "time": event.time.isoformat(),
            "recorded": recorded.isoformat(),
            "person": event.person,
            "device": event.device,
            "kind": event.kind.value,
            "body": body_text(event.body),
        }


def is_sqlite(engine: Engine) -> bool:
    """Whether the database is a file that one writer at a time may write."""
    return engine.dialect.name == "sqlite"


def _since(connection: Connection, tables: _Tables, job: str, seq: int) -> list[Recorded]:
    table = tables.event
    chosen = table.select().where(table.c.job == job, table.c.seq > seq).order_by(table.c.seq)
    return [_recorded(row) for row in connection.execute(chosen)]


def _recorded(row: Any) -> Recorded:  # noqa: ANN401 - a row has its columns as attributes
    """An event as it stands in the journal; one that makes no sense comes as ``unknown``, with the reason."""
    kind, body, why = _told(row)
    recorded, time = _time(row.recorded), _time(row.time)
    if why is None and time is None:
        why = f"its time is none: {quote(row.time)}"
    if why is not None:
        kind, body = EventKind.UNKNOWN, {"kind": quote(row.kind), "why": why, "raw": str(row.body)[:MOST_RAW]}
    at = recorded or _NEVER
    return Recorded(row.seq, Event(kind, body, str(row.person), str(row.device), time or at, row.id), at)


def _told(row: Any) -> tuple[EventKind, Mapping[str, Any], str | None]:  # noqa: ANN401
    """The kind and body of a row, and what is wrong with them."""
    try:
        kind = EventKind(row.kind)
    except ValueError:
        return EventKind.UNKNOWN, {}, "this program knows no such kind"
    try:
        body = json.loads(row.body)
    except (ValueError, TypeError, RecursionError):
        return EventKind.UNKNOWN, {}, "its body is no JSON"
    return kind, body, fault(kind.value, body)


def _time(text: object) -> datetime | None:
    try:
        time = datetime.fromisoformat(str(text))
    except ValueError:
        return None
    return time if time.tzinfo is not None else None


def _same(new: Event, there: Event) -> None:
    if (new.kind, body_text(new.body)) != (there.kind, body_text(there.body)):
        raise JournalError(
            f"the id {new.id} belongs to another event", "give each event an id of its own: a fresh UUID"
        )
