"""The bars of the bench page: a tick with a long journal, first paint, weight, a lost connection.

python -m tests.benchmarks.bench_page                # all of it, on the van's job: about two minutes
python -m tests.benchmarks.bench_page --away 10      # with the connection gone for ten seconds only

Everything goes over a real socket to a real server; the browser is Chromium, headless. The bars are the
project's own: a tick in under 50 ms (median) with 50,000 events, first paint under 0.5 s, less than 150 kB.
"""

import argparse
import itertools
import os
import re
import shutil
import statistics
import sys
import tempfile
import time
from collections import Counter
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import httpx

from sequencer.job.journal.events import Event, EventKind
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
        with httpx.Client(
            base_url=served.url, cookies={served.sessions.cookie: served.cookie()}, timeout=60
        ) as client:
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


PAINT = """() => new Promise(done => {
  const said = () => performance.getEntriesByType('paint').find(one => one.name === 'first-contentful-paint');
  const look = () => said() ? done(said().startTime) : setTimeout(look, 20);
  look();
})"""


def opened(device):
    """Open the station: milliseconds until it is painted, and bytes of all that was fetched for it."""
    answers = []
    device.page.on("response", lambda one: answers.append(one))  # noqa: PLW0108 - playwright marks what it calls
    paint = device.open().evaluate(PAINT)
    device.page.wait_for_load_state("load")
    weight = sum(len(one.body()) for one in answers if "/events" not in one.url)
    assert len(answers) >= 3, "the page comes with a style and a script"
    device.context.close()
    return paint, weight


def painted(folder, browser):
    """First paint of the station on a phone that has never seen the page, and what the page weighs."""
    times, weights = [], []
    with serving(folder, VAN, ("head",)) as served:
        for number in range(12):
            paint, weight = opened(bench.Device(bench.Windows(browser), served, f"phone {number}"))
            times.append(paint)
            weights.append(weight)
    print("\nthe van's station in Chromium, each time on a device of its own; milliseconds")
    print(f"{'':<44} {'median':>9} {'95 %':>9} {'worst':>9} {'n':>5}")
    good = row("first contentful paint", times, PAINT_MS)
    light = max(weights) < WEIGHT
    met = "met" if light else "NOT met"
    print(f"weight, all files: {max(weights) / 1000:.1f} kB; bar {WEIGHT // 1000} kB: {met}")
    return good and light


def apart(folder, browser, away):
    """One device without a connection ticks ten steps while the other ticks others: both end equal."""
    with serving(folder, VAN, ("head",)) as served:
        windows = bench.Windows(browser)
        one, two = (bench.Device(windows, served, name) for name in ("one", "two"))
        told = two_devices(one, two, away)
        one.context.close()
        two.context.close()
    print(f"\ntwo devices, one away for {away:g} s: {told}")
    return told.equal and not told.lost and not told.doubled


@dataclass(frozen=True)
class Met:
    """What two devices came to after one had been away."""

    away: int
    here: int
    lost: list
    doubled: list
    equal: bool
    seconds_until_equal: float

    def __str__(self):
        return (
            f"{self.away} ticks kept and {self.here} made meanwhile, {len(self.lost)} lost, "
            f"{len(self.doubled)} doubled, both the same {'yes' if self.equal else 'NO'}, "
            f"{self.seconds_until_equal:.1f} s after the connection was back"
        )


def two_devices(one, two, away, ticks=10, meanwhile=5):
    """Take ``one`` away for so many seconds; it ticks what comes first, ``two`` what can be done besides."""
    desk = one.served.desk
    while True:  # the first steps of a job come one after the other: nothing can be done besides
        first = [op for _, op in desk.state().left][:ticks]
        others = besides(desk, first, meanwhile)
        if len(others) == meanwhile:
            break
        desk.done(first[0])
    before = len(desk.state().ticks)
    one.open()
    two.open()
    one.context.set_offline(True)
    began = time.monotonic()
    for number, op in enumerate(first):
        one.page.locator(f"li[data-op='{op}'] button.tick").tap()
        one.page.locator(f"li[data-op='{op}'].is-done").wait_for(state="attached")
        one.page.wait_for_timeout(400)  # two taps that are closer count as one
        if number < len(others):
            two.page.goto(f"{two.served.url}/step/{quote(others[number])}")
            two.page.get_by_role("button", name="Tick it", exact=True).tap()
            two.page.wait_for_function("() => !document.getElementById('link-state').textContent")
            wait_until(lambda number=number: others[number] in desk.state().ticks)
    two.open()
    while time.monotonic() - began < away:
        two.page.wait_for_timeout(200)
    assert not set(first) & set(desk.state().ticks), "it was not away"
    one.context.set_offline(False)
    back = time.monotonic()
    wait_until(lambda: len(desk.state().ticks) == before + len(first) + len(others))
    same = wait_until(lambda: shown(one.page) == shown(two.page) != "", must=False)
    seconds = time.monotonic() - back
    said = Counter(op for one in desk.log() for op in one.event.body.get("ops", ()))
    wanted = [*first, *others]
    order = [op for op in desk.state().ticks if op in first]
    return Met(
        len(first),
        len(others),
        [op for op in wanted if op not in said],
        [op for op in said if said[op] != 1],
        same and order == first and len(said) == before + len(wanted),
        seconds,
    )


def besides(desk, first, count):
    """Steps that the machine allows now and that are none of ``first``, nor wait for them."""
    moment, found = desk.moment(), []
    present = moment.present
    for _, op in moment.state.left:
        if op not in first and len(found) < count and not moment.why_not(op, present):
            found.append(op)
            present = present.after(moment.whole, op)
    return found


def shown(page):
    """What a device shows of the job, but for the hours that are left: each person has their own pace."""
    told = page.locator("#head").inner_text() + page.locator("main").inner_text()
    return re.sub(r"about [^)]*\) left", "left", told)


def wait_until(so, seconds=20, must=True):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if so():
            return True
        time.sleep(0.05)
    assert not must, "that did not come about"
    return False


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--events", type=int, default=50_000)
    options.add_argument("--away", type=float, default=60, help="seconds without a connection")
    asked = options.parse_args()
    good = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        good.append(answered(folder / "van", VAN, ("head",), asked.events))
        with browsing() as browser:
            good.append(painted(folder / "paint", browser))
            good.append(apart(folder / "apart", browser, asked.away))
    print(f"\n{'all bars met' if all(good) else 'NOT all bars met'} ({os.cpu_count()} cores)")
    sys.exit(not all(good))


@contextmanager
def browsing():
    from playwright.sync_api import sync_playwright

    program = next(filter(None, map(shutil.which, bench.BROWSERS)))
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


if __name__ == "__main__":
    main()
