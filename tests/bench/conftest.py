"""A job on a real server, and a real browser to look at it with."""

import os
import shutil
import socket
import threading
import time
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn

from sequencer.bench.address import address
from sequencer.bench.app import page, survey_page
from sequencer.bench.connections import Connection
from sequencer.bench.pairing import PAIR, Sessions
from sequencer.graph.targets import parse_targets
from sequencer.job.begin import begin
from sequencer.job.desk import By, Desk
from sequencer.machine import load
from sequencer.plan.prefer import Prefer
from sequencer.plan.teardown import plan_teardown

ROOT = Path(__file__).resolve().parent.parent.parent
PUMP = ROOT / "examples" / "bench-pump.yaml"
VAN = ROOT / "models" / "delivery-van.yaml"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


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
    return begin(folder, plan, machine, By("Ada", "test"), title="Shaft seal", off=off, reach=())


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


def serve(folder):
    where = address(lan=False, port=free_port())
    sessions = Sessions(folder / ".bench-devices.json")
    server, thread = run(page(folder, sessions, where), where)
    return Served(where.url, folder, Desk.open(folder), sessions), server, thread


@pytest.fixture
def served(tmp_path):
    """The pump's job, fresh, on a server of its own."""
    make_job(tmp_path / "job")
    job, server, thread = serve(tmp_path / "job")
    yield job
    job.desk.close()
    server.should_exit = True
    thread.join(timeout=10)


@pytest.fixture(scope="session")
def chromium():
    """Debian's Chromium, headless; without one a newcomer's tests skip, and those before a landing fail."""
    program = next(filter(None, map(shutil.which, BROWSERS)), None)
    if program is None:
        reason = "no Chromium here: the page's tests need one (on Debian: apt install chromium)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


class Device:
    """A phone in somebody's hand: a browser context with one page, and what it complained of."""

    def __init__(self, chromium, served, name="phone", paired=True, **options):
        given = {"viewport": {"width": 360, "height": 740}, "has_touch": True, **options}
        self.context = chromium.new_context(**given)
        self.served = served
        self.complaints = []
        if paired:
            cookie = served.sessions.pair(served.sessions.invite(), name, name.title())
            self.context.add_cookies([{"name": served.sessions.cookie, "value": cookie, "url": served.url}])
        self.page = self.context.new_page()
        self.page.set_default_timeout(10_000)
        self.page.on("pageerror", lambda fault: self.complaints.append(str(fault)))
        self.page.on(
            "console",
            lambda said: (
                self.complaints.append(said.text) if "Content Security Policy" in said.text else None
            ),
        )

    def open(self, path="/"):
        self.page.goto(f"{self.served.url}{path}")
        return self.page

    def ticked(self):
        return list(self.served.desk.state().ticks)


@pytest.fixture
def device(chromium, request):
    """Makes devices; each must end without an error of its script or its content policy."""
    made = []

    def make(*args, served=None, **options):
        made.append(Device(chromium, served or request.getfixturevalue("served"), *args, **options))
        return made[-1]

    yield make
    for one in made:
        one.context.close()
        assert one.complaints == []


@pytest.fixture
def described(tmp_path):
    """A machine that is being described, on a server of its own."""
    where = address(lan=False, port=free_port())
    sessions = Sessions(tmp_path / ".bench-devices.json")
    server, thread = run(survey_page(tmp_path / "van.yaml", sessions, where), where)
    yield Served(where.url, tmp_path, None, sessions)
    server.should_exit = True
    thread.join(timeout=10)
