"""Writers that are killed at any moment, and crowds of them: is every acknowledged event there, and once?

    python -m tests.job.killing write DATABASE FOLDER JOB SECONDS

writes events and prints the id of each once the journal has acknowledged it.
"""

import random
import signal
import subprocess
import sys
import threading
import time
import uuid
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from sequencer.job.journal.events import Event, EventKind
from sequencer.job.journal.journal import Journal

ROOT = Path(__file__).resolve().parent.parent.parent
EACH_SENT_AGAIN = 5
"""Every so many events one is sent a second time, as a device does that has missed the answer."""


@dataclass
class Told:
    """What came of it."""

    acknowledged: int = 0
    killed: int = 0
    in_journal: int = 0
    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)
    slowest_open: float = 0.0


def write(database, folder, job, seconds):
    journal = Journal.open(database, Path(folder), job)
    end = time.monotonic() + float(seconds)
    number = 0
    while time.monotonic() < end:
        number += 1
        write_pair(journal, number)


def write_pair(journal, number):
    first = Event(EventKind.NOTE, {"text": f"event {number}"}, "Ann", "laptop")
    both = [first, Event(EventKind.NOTE, {"text": f"with {first.id}"}, "Ann", "laptop")]
    journal.append(both)
    sys.stdout.write(f"{both[0].id} {both[1].id}\n")
    sys.stdout.flush()
    if number % EACH_SENT_AGAIN == 0:
        assert journal.append(both) == []


def write_together(database, folder, job, pairs):
    """Write so many pairs once a line comes in: by then all the others are there too."""
    journal = Journal.open(database, Path(folder), job)
    sys.stdout.write("\n")
    sys.stdout.flush()
    sys.stdin.readline()
    for number in range(1, int(pairs) + 1):
        write_pair(journal, number)


def hold(database, folder, job):
    journal = Journal.open(database, Path(folder), job)
    with journal.writing() as pen:
        pen.add([Event(EventKind.NOTE, {"text": "never"})])
        sys.stdout.write("held\n")
        sys.stdout.flush()
        time.sleep(600)


def started(how, database, folder, job, much):
    return subprocess.Popen(
        [sys.executable, "-m", "tests.job.killing", how, database, str(folder), job, str(much)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )


class Listener(threading.Thread):
    """Keeps the ids that a writer has said to be written; half a line at the end says nothing."""

    def __init__(self, writer):
        super().__init__()
        self.writer = writer
        self.ids = []
        self.first = threading.Event()

    def run(self):
        for line in self.writer.stdout:
            if line.endswith("\n"):
                self.ids += line.split()
                self.first.set()
        self.first.set()


def kills(database, folder, job, *, count, seed, longest=0.12):
    """Start a writer, kill it at a random moment after its first event, look; so many times."""
    chance = random.Random(seed)
    told, acknowledged = Told(), []
    for _ in range(count):
        writer = started("write", database, folder, job, 60)
        listener = Listener(writer)
        listener.start()
        listener.first.wait(60)
        time.sleep(chance.uniform(0, longest))
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        listener.join()
        told.killed += writer.returncode == -signal.SIGKILL
        if writer.returncode != -signal.SIGKILL:
            told.complaints.append(writer.stderr.read())
        for pipe in (writer.stdin, writer.stdout, writer.stderr):
            pipe.close()
        acknowledged += listener.ids
        look(database, folder, job, acknowledged, told)
        if told.lost or told.doubled:
            break
    return told


def crowd(database, folder, job, *, writers, pairs):
    """So many writers at once, each with so many pairs of events."""
    running = [started("together", database, folder, job, pairs) for _ in range(writers)]
    for writer in running:
        writer.stdout.readline()
    for writer in running:
        writer.stdin.write("\n")
        writer.stdin.flush()
    listeners = [Listener(writer) for writer in running]
    told = Told()
    for listener in listeners:
        listener.start()
    for writer, listener in zip(running, listeners, strict=True):
        listener.join()
        writer.wait()
        if writer.returncode:
            told.complaints.append(writer.stderr.read())
        for pipe in (writer.stdin, writer.stdout, writer.stderr):
            pipe.close()
    look(database, folder, job, [one for listener in listeners for one in listener.ids], told)
    return told


def look(database, folder, job, acknowledged, told):
    """Open the journal and compare: all there, each once, each pair whole."""
    began = time.perf_counter()
    journal = Journal.open(database, Path(folder), job)
    events = journal.since()
    told.slowest_open = max(told.slowest_open, time.perf_counter() - began)
    journal.close()
    there = Counter(one.event.id for one in events)
    pairs = Counter(one.event.body["text"] for one in events if one.event.body["text"].startswith("with "))
    told.acknowledged, told.in_journal = len(acknowledged), len(events)
    told.lost = [one for one in acknowledged if one not in there]
    told.doubled = [one for one, times in there.items() if times > 1]
    told.doubled += [text for text, times in pairs.items() if times > 1]
    firsts = [one.event.id for one in events if not one.event.body["text"].startswith("with ")]
    told.lost += [one for one in firsts if f"with {one}" not in pairs]


def fresh(database, folder):
    """A new journal; what ``kills`` and ``crowd`` take."""
    job = str(uuid.uuid4())
    Journal.create(database, Path(folder), job).close()
    return database, Path(folder), job


if __name__ == "__main__":
    {"write": write, "together": write_together, "hold": hold}[sys.argv[1]](*sys.argv[2:])
