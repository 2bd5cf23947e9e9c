"""A job on a real server, and a real browser to look at it with."""

import gc
import os
import shutil
import socket
import threading
import time
import warnings
from collections import defaultdict
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn

from sequencer.bench.access.address import address
from sequencer.bench.access.connections import Connection
from sequencer.bench.access.pairing import PAIR, Sessions
from sequencer.bench.app import page, survey_page
from sequencer.graph.targets import parse_targets
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.machine import load
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.teardown import plan_teardown

ROOT = Path(__file__).resolve().parent.parent.parent
PUMP = ROOT / "tests" / "machines" / "bench-pump.yaml"
VAN = ROOT / "models" / "delivery-van.yaml"
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
"""The first that is there. Chromium without its windows takes a third of the other's time."""


@dataclass
class Served:
    """A job that is served, and the door to it."""

    url: str
    folder: Path
    desk: Desk
    sessions: Sessions

    def invite(self):
        return f"{self.url}{PAIR}{self.sessions.invite()}"

    def cookie(self, device="test"):
        return self.sessions.pair(self.sessions.invite(), device, "Ada")


def make_job(folder, machine=PUMP, off=("seal",)):
    read = load(machine)
    plan = plan_teardown(read, parse_targets(read, off, []), Prefer.TIME)
    return begin(folder, plan, copied(machine), By("Ada", "test"), title="Shaft seal")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def run(app, where):
    """The server of ``app`` in a thread of its own, once it answers."""
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            host=where.host,
            port=where.port,
            http=Connection,
            log_level="error",
            timeout_graceful_shutdown=1,
        )
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive()
        time.sleep(0.01)
    return server, thread


def end(server, thread):
    """At once: a page that still listens is hung up on."""
    for connection in list(server.server_state.connections):
        connection.loop.call_soon_threadsafe(connection.hang_up)
    server.should_exit = server.force_exit = True
    thread.join(timeout=10)
    # A page that came back meanwhile: its socket goes here, and not at whatever test looks for rubbish next.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        server.server_state.connections.clear()
        server.server_state.tasks.clear()
        gc.collect()
    gc.freeze()  # what is left is not looked through again at the next server's end


def serve(folder):
    where = address(lan=False, port=free_port())
    sessions = Sessions(folder / ".bench-devices.json")
    server, thread = run(page(folder, sessions, where), where)
    return Served(where.url, folder, Desk.open(folder), sessions), server, thread


@contextmanager
def serving(folder, machine=PUMP, off=("seal",)):
    """A job, fresh, on a server of its own."""
    make_job(folder, machine, off)
    job, server, thread = serve(folder)
    yield job
    job.desk.close()
    end(server, thread)


@pytest.fixture
def desk(tmp_path):
    """The pump's job, fresh, and no server."""
    make_job(tmp_path / "job")
    with Desk.open(tmp_path / "job") as opened:
        yield opened


@pytest.fixture
def served(tmp_path):
    """The pump's job, fresh, on a server of its own."""
    with serving(tmp_path / "job") as job:
        yield job


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """The same for the tests of a file that only look at its pages."""
    with serving(tmp_path_factory.mktemp("shown") / "job") as job:
        yield job


def needed(programs, package):
    """The first of the programs that is here; without one a newcomer's tests skip, and those of CI fail."""
    program = next(filter(None, map(shutil.which, programs)), None)
    if program is None:
        reason = f"no {programs[0]} here: some of the page's tests need it (on Debian: apt install {package})"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return program


@pytest.fixture(scope="session")
def launched():
    """Starts Debian's Chromium, headless, for whoever asks."""
    program = needed(BROWSERS, "chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        yield lambda **how: play.chromium.launch(executable_path=program, args=["--no-sandbox"], **how)


@pytest.fixture(scope="session")
def chromium(launched):
    """The browser that all tests of the page share."""
    browser = launched()
    yield browser
    browser.close()


PHONE = {"width": 360, "height": 740}
PATIENCE = 60_000
"""Milliseconds after which a page that does not come to what it should is a failure: slow it may be here."""


class Windows:
    """Browser contexts of one page. One that was left is emptied and used again: a new one costs a second."""

    def __init__(self, browser):
        self.browser = browser
        self.left = defaultdict(list)

    def take(self, options):
        """A page in a context of these options."""
        left = self.left[tuple(options.items())]
        return left.pop() if left else self.browser.new_context(**options).new_page()

    def leave(self, page, options, origin):
        """Nothing that was kept for ``origin`` stays, no other page and no cookie."""
        page.goto("about:blank")
        for other in page.context.pages:
            if other is not page:
                other.close()
        session = page.context.new_cdp_session(page)
        session.send("Storage.clearDataForOrigin", {"origin": origin, "storageTypes": "all"})
        session.detach()
        page.context.clear_cookies()
        page.context.set_offline(False)
        self.left[tuple(options.items())].append(page)


class Device:
    """A phone in somebody's hand: a browser context with one page, and what it complained of."""

    def __init__(self, windows, served, name="phone", paired=True, viewport=PHONE, **options):
        self.windows = windows
        self.options = {"has_touch": True, **options}
        self.served = served
        self.complaints = []
        self.again = True
        self.page = windows.take(self.options)
        self.page.set_viewport_size(viewport)
        self.page.set_default_timeout(PATIENCE)
        self.context = self.page.context
        if paired:
            cookie = served.sessions.pair(served.sessions.invite(), name, name.title())
            self.context.add_cookies([{"name": served.sessions.cookie, "value": cookie, "url": served.url}])
        self.page.on("pageerror", self.failed)
        self.page.on("console", self.said)

    def failed(self, fault):
        self.complaints.append(str(fault))

    def said(self, words):
        if "Content Security Policy" in words.text:
            self.complaints.append(words.text)

    def at_the_start(self, script):
        """Run a script before those of each page; nobody else gets this device then."""
        self.page.add_init_script(script)
        self.again = False

    def open(self, path="/"):
        self.page.goto(f"{self.served.url}{path}")
        return self.page

    def ticked(self):
        return list(self.served.desk.state().ticks)

    def leave(self):
        self.page.remove_listener("pageerror", self.failed)
        self.page.remove_listener("console", self.said)
        if self.again:
            self.windows.leave(self.page, self.options, self.served.url)
        else:
            self.context.close()


@pytest.fixture(scope="session")
def windows(chromium):
    return Windows(chromium)


@pytest.fixture
def device(windows, request):
    """Makes devices; each must end without an error of its script or its content policy."""
    made = []

    def make(*args, served=None, **options):
        made.append(Device(windows, served or request.getfixturevalue("served"), *args, **options))
        return made[-1]

    yield make
    for one in made:
        one.leave()
        assert one.complaints == []


@pytest.fixture
def described(tmp_path):
    """A machine that is being described, on a server of its own."""
    where = address(lan=False, port=free_port())
    sessions = Sessions(tmp_path / ".bench-devices.json")
    server, thread = run(survey_page(tmp_path / "van.yaml", sessions, where), where)
    yield Served(where.url, tmp_path, None, sessions)
    end(server, thread)
