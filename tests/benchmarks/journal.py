"""The journal's bars: kills at random moments, a crowd of writers, replay of a long journal, time of a tick.

python -m tests.benchmarks.journal                        # all of it on SQLite: some four minutes
python -m tests.benchmarks.journal --kills 500 --database postgresql://shop@/postgres?host=/tmp/socket
"""

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

from sequencer.job.desk import By, Desk
from sequencer.job.journal.events import Event, EventKind
from sequencer.job.journal.replay import Replay
from tests.job import killing
from tests.job.conftest import begin_job


def said(name, told, seconds):
    print(
        f"{name}: {told.acknowledged} acknowledged, {told.in_journal} in the journal, {len(told.lost)} lost, "
        f"{len(told.doubled)} doubled, {len(told.complaints)} complaints, killed {told.killed}, "
        f"slowest opening and reading {told.slowest_open * 1000:.0f} ms; {seconds:.0f} s"
    )
    return not (told.lost or told.doubled or told.complaints)


def killed(database, folder, count):
    began = time.perf_counter()
    told = killing.kills(*killing.fresh(database, folder), count=count, seed=6)
    return said(f"{count} kills", told, time.perf_counter() - began) and told.killed == count


def crowded(database, folder, writers, pairs):
    began = time.perf_counter()
    told = killing.crowd(*killing.fresh(database, folder), writers=writers, pairs=pairs)
    return said(f"{writers} writers of {pairs} pairs", told, time.perf_counter() - began)


def filled(job, count):
    """A job with a journal of ``count`` events."""
    journal = job.journal()
    there = len(journal.since())
    notes = [Event(EventKind.NOTE, {"text": "x" * 40}, "Ann", "laptop") for _ in range(count - there)]
    journal.append(notes)
    journal.close()


def replayed(job, count):
    times = []
    for _ in range(5):
        journal = job.journal()
        began = time.perf_counter()
        replay = Replay()
        replay.take(journal.since())
        replay.state()
        times.append(time.perf_counter() - began)
        journal.close()
    print(f"replay of {count} events: {', '.join(f'{one:.2f}' for one in times)} s")
    return max(times) < 2


def ticked(job, count):
    desk = Desk(job, By("Ann", "laptop"))
    desk.plan()
    times = []
    for number in range(60):
        step = number // 2 % 3 + 1
        began = time.perf_counter()
        desk.note("a tick's worth", step) if number % 2 else desk.measured(step, {"wear": "1 mm"})
        desk.plan()
        times.append((time.perf_counter() - began) * 1000)
    for number in range(1, 18):
        began = time.perf_counter()
        desk.done(number)
        desk.station()
        times.append((time.perf_counter() - began) * 1000)
    began = time.perf_counter()
    desk.undo()
    desk.station()
    undo = (time.perf_counter() - began) * 1000
    desk.close()
    median, worst = statistics.median(times), max(times)
    print(
        f"an act and the next station, {count} events: median {median:.1f} ms, worst {worst:.1f} ms, "
        f"undo {undo:.0f} ms"
    )
    return median < 50


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--kills", type=int, default=500)
    options.add_argument("--writers", type=int, default=8)
    options.add_argument("--pairs", type=int, default=3000)
    options.add_argument("--events", type=int, default=50_000)
    options.add_argument("--database", default="journal.db")
    options.add_argument("--folder", help="where to write: a folder on the disk that is meant")
    asked = options.parse_args()
    good = []
    with tempfile.TemporaryDirectory(dir=asked.folder) as name:
        folder = Path(name)
        for own in ("kills", "crowd"):
            (folder / own).mkdir()
        good.append(killed(asked.database, folder / "kills", asked.kills))
        good.append(crowded(asked.database, folder / "crowd", asked.writers, asked.pairs))
        job = begin_job(folder / "job", database=None if asked.database == "journal.db" else asked.database)
        filled(job, asked.events)
        good.append(replayed(job, asked.events))
        good.append(ticked(job, asked.events))
    print("all bars met" if all(good) else "NOT all bars met", f"({os.cpu_count()} cores)")
    sys.exit(not all(good))


if __name__ == "__main__":
    main()
