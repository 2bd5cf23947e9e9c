"""The bars of the bench page: a tick with a long journal, first paint, weight, a lost connection.

python -m tests.benchmarks.bench_page                # all of it, on the van's job: about two minutes
python -m tests.benchmarks.bench_page --away 10      # with the connection gone for ten seconds only

Everything goes over a real socket to a real server; the browser is Chromium, headless. The bars are the
project's own: a tick in under 50 ms (median) with 50,000 events, first paint under 0.5 s, less than 150 kB.
"""

import argparse
import itertools
import os
import statistics
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

import httpx

from sequencer.bench.guard import COOKIE
from sequencer.job.events import Event, EventKind
from tests.bench import conftest as bench

VAN = bench.ROOT / "models" / "delivery-van.yaml"
TICK_MS, PAINT_MS, WEIGHT = 50, 500, 150_000


def filled(served, count):
    """Bring the journal to ``count`` events: notes and readings at the steps, ticks that were taken back."""
    ops = [op for _, op in served.desk.state().steps]
    journal = served.desk.folder.journal()
    missing = count - len(journal.since())
    made = []
    for number, op in zip(range(missing), itertools.cycle(ops)):
        note = {"text": f"note {number}, about as long as most", "op": op}
        if number % 10 < 6:
            made.append(
                Event(
                    EventKind.NOTE,
                    note,
                    "Ann",
                    "laptop",
                )
            )
        elif number % 10 < 8:
            made.append(Event(EventKind.MEASURED, {"op": op, "wear": "1 mm"}, "Ann", "laptop"))
        elif number % 10 == 8 and number + 1 < missing:
            made.append(Event(EventKind.DONE, {"ops": [op]}, "Ann", "laptop"))
        elif number % 10 == 9:
            made.append(Event(EventKind.UNDONE, {"event": made[-1].id}, "Ann", "laptop"))
        else:
            made.append(Event(EventKind.NOTE, {"text": "the last one"}, "Ann", "laptop"))
    journal.append(made)
    found = len(journal.since())
    journal.close()
    return found


@contextmanager
def serving(folder, machine, off):
    """A job on a server of its own."""
    bench.make_job(folder, machine, off)
    served, server, thread = bench.serve(folder)
    try:
        yield served
    finally:
        served.desk.close()
        server.should_exit = True
        thread.join(timeout=10)


def timed(ask, *words, **more):
    began = time.perf_counter()
    answer = ask(*words, **more)
    taken = (time.perf_counter() - began) * 1000
    assert answer.status_code == 200, answer.text
    return taken, answer


def row(name, times, bar=None):
    """One line of the table; whether its bar is met."""
    median = statistics.median(times)
    high = statistics.quantiles(times, n=20)[-1] if len(times) > 1 else times[0]
    good = bar is None or median < bar
    told = "" if bar is None else f"bar {bar:g} ms: {'met' if good else 'NOT met'}"
    print(f"{name:<44} {median:9.1f} {high:9.1f} {max(times):9.1f} {len(times):5}  {told}")
    return good


def answered(folder, machine, off, events):
    """Every step ticked in turn with a long journal, and the pages in between."""
    with serving(folder, machine, off) as served:
        count = filled(served, events)
        with httpx.Client(base_url=served.url, cookies={COOKIE: served.cookie()}, timeout=60) as client:
            first, page = timed(client.get, "/")
            csrf = page.text.partition('data-csrf="')[2].partition('"')[0]
            times = {"tick": [], "/": [], "/overview": [], "/log": [], "undo": []}
            json = {"Accept": "application/json"}
            for _, op in served.desk.state().left:
                taken, _ = timed(client.post, "/tick", data={"csrf": csrf, "op": op}, headers=json)
                times["tick"].append(taken)
                for path in ("/", "/overview", "/log"):
                    taken, page = timed(client.get, path)
                    times[path].append(taken)
            sizes = {path: len(client.get(path).content) for path in ("/", "/overview", "/log")}
            for _ in range(10):
                times["undo"].append(timed(client.post, "/undo", data={"csrf": csrf}, headers=json)[0])
    print(f"\n{machine.name}, {count} events in the journal; milliseconds")
    print(f"{'':<44} {'median':>9} {'95 %':>9} {'worst':>9} {'n':>5}")
    row("the first page after a start", [first])
    good = row("POST /tick (the page's script)", times["tick"], TICK_MS)
    for path in ("/", "/overview", "/log"):
        row(f"GET {path} ({sizes[path] / 1000:.0f} kB at the end)", times[path])
    row("POST /undo", times["undo"])
    return good


def main():
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--events", type=int, default=50_000)
    options.add_argument("--away", type=float, default=60, help="seconds without a connection")
    asked = options.parse_args()
    good = []
    with tempfile.TemporaryDirectory() as name:
        good.append(answered(Path(name) / "van", VAN, ("head",), asked.events))
    print(f"\n{'all bars met' if all(good) else 'NOT all bars met'} ({os.cpu_count()} cores)")
    sys.exit(not all(good))


if __name__ == "__main__":
    main()
