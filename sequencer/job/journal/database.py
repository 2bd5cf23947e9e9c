"""The databases that a journal can lie in: SQLite in the job's folder, or another one by its URL."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Generator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from sequencer.errors import SequencerError

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine
    from sqlalchemy.exc import SQLAlchemyError

PATIENCE_SECONDS = 60
"""How long a writer waits for the others."""

SILENCE_SECONDS = 4
"""How long a server may say nothing, for a connection and on one: together a person waits less than 10 s."""

WRITES = "sequencer_writes"
"""The execution option of a connection that is about to write."""


class JournalError(SequencerError):
    """The journal can't be read or written; nothing of what was to be written is in it."""


def is_file(database: str) -> bool:
    """Whether a job's ``database`` is a file of the job's folder rather than a URL."""
    return "://" not in database


def engine_for(database: str, folder: Path, *, create: bool = False) -> Engine:
    """The engine for a job's ``database``: a file name in ``folder``, or a URL.

    Raises:
        JournalError: The URL is none, its driver is not installed, or the file is not there.
    """
    if is_file(database):
        return _sqlite(folder / database, create=create)
    return _by_url(database)


def _sqlite(path: Path, *, create: bool) -> Engine:
    import sqlalchemy

    if not create and not path.is_file():
        raise JournalError(
            f"the journal {path} is missing", "put it back where it was, with the files beside it"
        )
    mode = "rwc" if create else _mode(path)

    def connect() -> sqlite3.Connection:
        # No transaction of the driver's own making: each begins with the words below.
        made = sqlite3.connect(
            f"file:{quote(str(path.absolute()))}?mode={mode}",
            uri=True,
            timeout=PATIENCE_SECONDS,
            isolation_level=None,
            check_same_thread=False,
        )
        try:
            if create:
                made.execute("PRAGMA journal_mode=WAL").fetchone()
            # FULL: what is acknowledged is on the disk, in WAL mode too (sqlite.org/pragma.html).
            made.execute("PRAGMA synchronous=FULL")
        except BaseException:
            made.close()
            raise
        return made

    kept = _sqlite_words()
    creator: Any = connect  # whose type is not told as SQLAlchemy has it
    pool = sqlalchemy.pool.QueuePool(creator, dialect=kept.dialect)
    engine = sqlalchemy.Engine(
        pool, kept.dialect, kept.url, execution_options={"compiled_cache": _STATEMENTS}
    )

    @sqlalchemy.event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # IMMEDIATE takes the writer's lock before anything is read: what is judged then still holds when
        # it is written. A reader sees one state from its first statement on.
        writes = connection.get_execution_options().get(WRITES)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


_STATEMENTS: dict[Any, Any] = {}
"""The few statements of a journal, put into SQLite's words once for all that this process opens."""


@cache
def _sqlite_words() -> Engine:
    """An engine of which each journal in a file takes what SQLite understands; itself it opens no file."""
    import sqlalchemy

    engine = sqlalchemy.create_engine("sqlite://")
    engine.connect().close()  # so it learns what this SQLite can do
    engine.dispose()
    return engine


def _mode(path: Path) -> str:
    """How to open the file: a journal that may not be written, and that nobody writes, can still be read.

    SQLite reads a file in WAL mode without a right to write only if told that it does not change
    (sqlite.org/wal.html#readonly). What is in the log beside it would be missed then: so only without one.
    """
    log = path.with_name(f"{path.name}-wal")
    may_write = os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
    return "rw" if may_write or (log.exists() and log.stat().st_size) else "ro&immutable=1"


def _by_url(database: str) -> Engine:
    import sqlalchemy

    try:
        url = sqlalchemy.make_url(database)
        if url.drivername in ("postgresql", "postgres"):
            url = url.set(drivername="postgresql+psycopg")
        # A pool that asks first: a server that was started anew is met with a fresh connection.
        return _bounded(sqlalchemy.create_engine(url, pool_pre_ping=True))
    except sqlalchemy.exc.ArgumentError:
        raise JournalError(
            "the database of this job is not a URL", "write it like postgresql://user@host/database"
        ) from None
    except ImportError as why:
        raise JournalError(
            f"the driver of this database is not installed ({why.name})",
            "for PostgreSQL: pip install 'sequencer[postgresql]'",
        ) from why


def _bounded(engine: Engine) -> Engine:
    """Let nobody wait for a server that does not answer: neither for a connection nor on one."""
    if engine.url.drivername != "postgresql+psycopg":
        return engine
    import psycopg
    import sqlalchemy

    class Bounded(psycopg.Connection[Any]):
        def wait(self, gen: Any, *more: Any, **options: Any) -> Any:  # noqa: ANN401 - as in the driver
            return super().wait(self._answered(gen), *more, **options)

        def _answered(self, gen: Any) -> Generator[Any, Any, Any]:  # noqa: ANN401
            """The driver's own steps, which it resumes several times a second, ready or not."""
            end = time.monotonic() + SILENCE_SECONDS
            try:
                wanted = next(gen)
                while True:
                    if ready := (yield wanted):
                        end = time.monotonic() + SILENCE_SECONDS
                    elif time.monotonic() > end:
                        self.pgconn.finish()
                        raise psycopg.OperationalError(f"no answer for {SILENCE_SECONDS} s")
                    wanted = gen.send(ready)
            except StopIteration as done:
                return done.value

    @sqlalchemy.event.listens_for(engine, "do_connect")
    def connect(_dialect: Any, _record: Any, words: Any, options: Any) -> Any:  # noqa: ANN401
        return Bounded.connect(*words, **{"connect_timeout": SILENCE_SECONDS, **options})

    return engine


_DISK_FULL, _NO_TABLE, _READ_ONLY = "53100", "42P01", ("25006", "42501")
"""What PostgreSQL calls them (its manual, appendix A: error codes)."""


def explained(why: SQLAlchemyError, where: str) -> JournalError:
    """A fault of the database in words, and what to do about it."""
    origin: Any = getattr(why, "orig", None)
    name, state = str(getattr(origin, "sqlite_errorname", "")), str(getattr(origin, "sqlstate", ""))
    text = " ".join(str(origin or why).split())
    if "FULL" in name or state == _DISK_FULL:
        return JournalError(
            f"the disk is full: nothing of this was written to {where}", "make room, then say it again"
        )
    if "READONLY" in name or state in _READ_ONLY:
        return JournalError(f"{where} may not be written", "give yourself write permission in the job folder")
    # Every statement is the program's own: one that SQLite can't make out misses a table.
    if "CORRUPT" in name or "NOTADB" in name or name == "SQLITE_ERROR" or state == _NO_TABLE:
        return JournalError(
            f"{where} is damaged ({text})",
            "put back a copy of the whole job folder; the damaged file stays as it is",
        )
    if "BUSY" in name or "LOCKED" in name:
        return JournalError(
            f"{where} has been busy for {PATIENCE_SECONDS} s",
            "end the program that holds it, then say it again",
            code="busy",
        )
    if "IOERR" in name:
        return JournalError(
            f"the disk can't be read or written ({text})",
            "check that it is sound and not full, then say it again",
        )
    return JournalError(
        f"{where} can't be used: {text}", "check that the database runs and that you may use it"
    )
