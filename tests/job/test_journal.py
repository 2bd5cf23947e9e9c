"""The journal: events are added once, in one order, all of an act or nothing, on either database."""

import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sequencer.job.desk import Desk
from sequencer.job.journal.database import JournalError
from sequencer.job.journal.events import Event, EventError, EventKind
from sequencer.job.journal.journal import Journal
from tests.job import killing
from tests.job.conftest import ANN
from tests.support.profile import before_landing, counts

SOON = 60
"""Seconds, where what is to end by itself after two would else never do so."""


@pytest.fixture
def where(database, tmp_path):
    """Database, folder and id of a job whose journal has been begun."""
    identity = str(uuid.uuid4())
    Journal.create(database, tmp_path, identity).close()
    return database, tmp_path, identity


@pytest.fixture
def journal(where):
    opened = Journal.open(*where)
    yield opened
    opened.close()


def note(text="hm", **more):
    return Event(EventKind.NOTE, {"text": text}, "Ann", "laptop", **more)


def texts(journal):
    return [one.event.body["text"] for one in journal.since()]


def test_what_is_written_is_read_as_it_was(journal):
    odd = 'ünïcode \U0001f527 "quoted"\n\x00 \\ end'
    event = note(odd, time=datetime(2026, 11, 25, 10, 2, 15, 123456, tzinfo=UTC))
    journal.append([event])
    (one,) = journal.since()
    assert one.event == event
    assert abs(one.recorded - datetime.now(UTC)) < timedelta(minutes=1)


def test_the_same_event_sent_twice_is_one_event(journal):
    event = note()
    assert len(journal.append([event])) == 1
    assert journal.append([event]) == []
    assert journal.append([event, note("other")])[0].event.body["text"] == "other"
    assert len(journal.since()) == 2


def test_an_id_in_capitals_is_the_same_id(journal):
    identity = str(uuid.uuid4())
    journal.append([note(id=identity)])
    assert journal.append([note(id=identity.upper())]) == []


def test_an_id_that_belongs_to_another_event_is_refused_and_nothing_is_written(journal):
    event = note("first")
    journal.append([event])
    with pytest.raises(JournalError, match="belongs to another event"):
        journal.append([note("new"), note("second", id=event.id)])
    assert texts(journal) == ["first"]


def test_the_order_is_the_journals_and_not_the_clocks(journal):
    now = datetime.now(UTC)
    journal.append([note("late", time=now)])
    journal.append([note("early", time=now - timedelta(days=3))])
    assert texts(journal) == ["late", "early"]


def test_an_act_is_written_as_a_whole_or_not_at_all(journal):
    def break_off():
        with journal.writing() as pen:
            pen.add([note("half")])
            raise RuntimeError("in the middle")

    with pytest.raises(RuntimeError, match="in the middle"):
        break_off()
    assert texts(journal) == []
    with pytest.raises(EventError, match="has no zone"):
        journal.append([note("good"), note("bad", time=datetime(2026, 1, 1))])
    assert texts(journal) == []


@before_landing
@pytest.mark.parametrize(
    ("event", "message"),
    [
        (note(id="nonsense"), "not the id of an event"),
        (note("x" * 4_200_000), "at most 4096 KiB"),
        (Event(EventKind.NOTE, {"text": object()}), "plain data"),
        (Event(EventKind.NOTE, {"number": float("nan")}), "plain data"),
        (Event(EventKind.NOTE, {}, person="x" * 300), "the person is no name"),
    ],
)
def test_what_is_no_event_is_refused_with_a_reason(journal, event, message):
    with pytest.raises(EventError, match=message):
        journal.append([event])


def test_what_is_judged_still_holds_when_it_is_written(where):
    """Two writers who both add only if nothing is there: one of them sees the other's event."""
    added, start = [], threading.Barrier(2)

    def add_if_empty():
        own = Journal.open(*where)
        start.wait()
        with own.writing() as pen:
            if not pen.since():
                time.sleep(0.1)
                added.extend(pen.add([note()]))
        own.close()

    threads = [threading.Thread(target=add_if_empty) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(added) == 1


@before_landing
def test_two_jobs_share_a_database_and_see_nothing_of_one_another(postgresql, tmp_path):
    one, two = str(uuid.uuid4()), str(uuid.uuid4())
    first = Journal.create(postgresql, tmp_path, one)
    second = Journal.create(postgresql, tmp_path, two)
    first.append([note("one")])
    second.append([note("two")])
    assert (texts(first), texts(second)) == (["one"], ["two"])
    first.drop()
    assert texts(second) == ["two"]
    with pytest.raises(JournalError, match="has no job"):
        Journal.open(postgresql, tmp_path, one)
    first.close()
    second.close()


def test_a_missing_journal_is_said_and_not_made_anew(tmp_path):
    with pytest.raises(JournalError, match=r"journal\.db is missing; put it back"):
        Journal.open("journal.db", tmp_path, "x")
    assert not (tmp_path / "journal.db").exists()


def test_a_damaged_journal_is_said(tmp_path):
    (tmp_path / "journal.db").write_bytes(b"this is no database" * 400)
    with pytest.raises(JournalError, match="is damaged"):
        Journal.open("journal.db", tmp_path, "x")


def test_a_journal_of_a_newer_program_is_said(tmp_path):
    Journal.create("journal.db", tmp_path, "x").close()
    with sqlite3.connect(tmp_path / "journal.db") as raw:
        raw.execute("UPDATE sequencer_job SET format = 99")
    raw.close()
    with pytest.raises(JournalError, match="a newer version of this program"):
        Journal.open("journal.db", tmp_path, "x")


@pytest.mark.parametrize(
    ("url", "message"),
    [
        ("postgresql://nobody@localhost:1/none", "check that the database runs"),
        ("nonsense://x", "can't|not a URL|driver"),
        ("://", "not a URL"),
    ],
)
def test_a_database_that_is_not_there_is_said_without_its_password(tmp_path, url, message):
    with pytest.raises(JournalError, match=message) as said:
        Journal.open(url.replace("nobody@", "nobody:secret@"), tmp_path, "x")
    assert "secret" not in str(said.value)


def test_a_full_disk_is_said_and_leaves_nothing_half_written(tmp_path):
    Journal.create("journal.db", tmp_path, "x").close()
    journal = Journal.open("journal.db", tmp_path, "x")
    journal.append([note("before")])
    with journal._engine.connect() as connection:
        # SQLite's own way of making a disk of a few pages (sqlite.org/pragma.html#pragma_max_page_count).
        connection.exec_driver_sql("PRAGMA max_page_count = 1")
    with pytest.raises(JournalError, match="the disk is full: nothing of this was written"):
        journal.append([note("x" * 2000) for _ in range(50)])
    journal.close()
    again = Journal.open("journal.db", tmp_path, "x")
    assert texts(again) == ["before"]
    again.append([note("after")])
    assert texts(again) == ["before", "after"]
    again.close()


def test_a_commit_is_on_the_disk_before_it_is_acknowledged(tmp_path):
    Journal.create("journal.db", tmp_path, "x").close()
    journal = Journal.open("journal.db", tmp_path, "x")
    with journal._engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2  # FULL
    journal.close()


def test_no_kill_loses_an_acknowledged_event_or_doubles_one(where):
    count = counts(quick=1, landing=2, nightly=15)
    told = killing.kills(*where, count=count, seed=1)
    assert told.killed == count
    assert told.acknowledged > 0
    assert told.lost == []
    assert told.doubled == []


def test_several_writers_at_once_lose_nothing_and_double_nothing(where):
    writers = counts(quick=2, landing=3, nightly=4)
    told = killing.crowd(*where, writers=writers, pairs=12)
    assert told.acknowledged == writers * 12 * 2
    assert told.lost == []
    assert told.doubled == []
    assert told.complaints == []


@before_landing
def test_a_writer_stopped_in_the_middle_holds_nobody_up_for_ever(where):
    """A process that dies with the pen in its hand lets go of it."""
    holder = subprocess.Popen(
        [sys.executable, "-m", "tests.job.killing", "hold", *map(str, where)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    )
    assert holder.stdout.readline().strip() == "held"
    os.kill(holder.pid, signal.SIGKILL)
    holder.wait()
    holder.stdout.close()
    journal = Journal.open(*where)
    journal.append([note("free")])
    assert texts(journal) == ["free"]
    journal.close()


def test_a_journal_that_may_not_be_written_can_still_be_read(desk, job, monkeypatch):
    desk.done("1")
    desk.close()
    # As on a copy that is write-protected; root, as whom tests may run, would be let in.
    monkeypatch.setattr("sequencer.job.journal.database.os.access", lambda _path, mode: not mode & os.W_OK)
    reader = Desk(job, ANN)
    assert reader.state().done == ("task isolate",)
    with pytest.raises(JournalError, match="may not be written"):
        reader.done("2")
    reader.close()


@pytest.fixture
def silent(postgresql):
    """Stops a server's processes, and lets them go on afterwards."""
    home = Path(postgresql.rpartition("=")[2])
    main = int((home / "data" / "postmaster.pid").read_text().split()[0])
    stopped = []

    def stop(process=main):
        stopped.append(process)
        os.kill(process, signal.SIGSTOP)

    yield stop
    for process in stopped:
        os.kill(process, signal.SIGCONT)


@before_landing
def test_a_server_that_hangs_is_a_message_in_time(postgresql, tmp_path, silent, monkeypatch):
    monkeypatch.setattr("sequencer.job.journal.database.SILENCE_SECONDS", 2)
    Journal.create(postgresql, tmp_path, "hangs").close()
    silent()
    began = time.monotonic()
    with pytest.raises(JournalError, match="check that the database runs"):
        Journal.open(postgresql, tmp_path, "hangs")
    assert time.monotonic() - began < SOON


@before_landing
def test_a_server_that_falls_silent_in_mid_work_is_a_message_in_time(
    postgresql, tmp_path, silent, monkeypatch
):
    monkeypatch.setattr("sequencer.job.journal.database.SILENCE_SECONDS", 2)
    journal = Journal.create(postgresql, tmp_path, "falls silent")
    began = time.monotonic()

    def write():
        with journal.writing() as pen:
            silent(int(pen._connection.exec_driver_sql("select pg_backend_pid()").scalar()))
            pen.add([note()])

    with pytest.raises(JournalError, match="no answer for 2 s"):
        write()
    assert time.monotonic() - began < SOON
    journal.close()


@before_landing
def test_a_writer_waits_for_another_that_takes_longer_than_a_silence(postgresql, tmp_path, monkeypatch):
    monkeypatch.setattr("sequencer.job.journal.database.SILENCE_SECONDS", 2)
    journal, other = (
        Journal.create(postgresql, tmp_path, "waits"),
        Journal.open(postgresql, tmp_path, "waits"),
    )
    held = threading.Event()

    def hold():
        with other.writing():
            held.set()
            time.sleep(2.5)

    holder = threading.Thread(target=hold)
    holder.start()
    held.wait(10)
    assert len(journal.append([note("after the other")])) == 1
    holder.join()
    journal.close()
    other.close()
