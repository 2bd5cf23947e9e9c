"""Several jobs at one bench: a list, one pairing, rights by job, and none that takes another down."""

import shutil
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import httpx
import pytest
from pydantic import TypeAdapter

from sequencer.bench.access.address import address
from sequencer.bench.access.one_server import alone_in
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import jobs_page, page_of
from sequencer.bench.yard import Yard
from sequencer.graph.targets import parse_targets
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.journal import Journal
from sequencer.machine import load
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.teardown import plan_teardown
from tests.bench.conftest import PUMP, end, free_port, run
from tests.job.conftest import postgresql  # noqa: F401 - a fixture
from tests.support.profile import before_landing


def job(folder, title, off="seal", **more):
    plan = plan_teardown(load(PUMP), parse_targets(load(PUMP), [off], []), Prefer.TIME)
    return begin(folder, plan, copied(PUMP), By("Ada", "test"), title=title, **more)


class Door:
    """A device at the bench, paired with some of the jobs (None: with all)."""

    def __init__(self, yard, jobs=None, name="phone"):
        sessions = yard.sessions
        self.yard, self.sessions = yard, sessions
        self.cookie = sessions.pair(sessions.invite(jobs), name, "Ada")
        self.session = sessions.of(self.cookie)

    def ask(self, method, stand, path="/", **more):
        port = stand.port if stand else self.yard.where.port
        if method == "POST":
            more["data"] = {"csrf": self.session.csrf, **more.get("data", {})}
        headers = {"Cookie": f"{self.sessions.cookie}={self.cookie}", **more.pop("headers", {})}
        return httpx.request(method, f"http://127.0.0.1:{port}{path}", headers=headers, timeout=60, **more)

    def list(self):
        return self.ask("GET", None).text


@contextmanager
def yard_of(folder, database=""):
    folder.mkdir(exist_ok=True)
    where = address(lan=False, port=free_port())
    sessions = Sessions(folder / ".bench-devices.json", job=str(folder))
    with Yard(folder, sessions, where, lambda _words: None, None, database, page=page_of) as yard:
        server, thread = run(jobs_page(yard), where)
        yield yard
        end(server, thread)


@pytest.fixture
def yard(tmp_path):
    """Two jobs of one machine in a folder, served."""
    job(tmp_path / "yard" / "one", "Shaft seal")
    job(tmp_path / "yard" / "two", "Second pump")
    with yard_of(tmp_path / "yard") as served:
        yield served


@before_landing
def test_the_list_follows_the_jobs_and_one_that_is_broken_or_locked_is_a_line(yard, tmp_path):
    one, two = yard.stands()
    door, folder = Door(yard), yard.folder
    shown = door.list()
    assert "Shaft seal" in shown
    assert "Second pump" in shown
    assert f":{two.port}/" in shown
    assert shown.count("Next: 1 ") == 2
    (folder / "torn").mkdir()
    (folder / "torn" / "job.yaml").write_text("title: [", encoding="utf-8")
    job(tmp_path / "later", "Third")
    (tmp_path / "later").rename(folder / "later")
    with alone_in(folder / "later"):
        shown = door.list()
        assert "is being served already" in shown
    assert ">job.yaml:1" in shown  # its name alone: the disk's folders are nobody's business
    assert door.ask("GET", one).status_code == 200
    shutil.rmtree(folder / "torn")
    third = next(stand for stand in yard.stands() if stand.title == "Third")
    assert door.ask("GET", third).status_code == 200
    shutil.rmtree(folder / "two")
    assert "Second pump" not in door.list()
    with pytest.raises(httpx.ConnectError):
        door.ask("GET", two)
    assert f'href="http://127.0.0.1:{yard.where.port}/"' in door.ask("GET", one, "/overview").text


@before_landing
def test_a_device_sees_changes_and_hands_on_only_the_jobs_that_it_was_invited_to(yard):
    one, two = yard.stands()
    mine, every = Door(yard, (one.id,), "mine"), Door(yard, None, "every")
    assert "Second pump" not in mine.list()
    step = two.desk.plan().steps[0].operation.name
    for method, path, data in [
        ("GET", "/", {}), ("GET", "/overview", {}), ("GET", "/events", {}), ("GET", "/static/bench.js", {}),
        ("GET", "/%2e%2e/two/", {}), ("POST", "/tick", {"op": step}), ("POST", "/devices/invite", {}),
    ]:  # fmt: skip
        refused = mine.ask(method, two, path, **({"data": data} if data else {}))
        assert refused.status_code == 401, path
        assert "Second pump" not in refused.text
    assert not two.desk.state().ticks
    # A form of the other job's page, which is of the same site and has the same token.
    origin = {"Origin": f"http://127.0.0.1:{two.port}", "Sec-Fetch-Site": "same-site"}
    assert every.ask("POST", one, "/tick", data={"op": step}, headers=origin).status_code == 403
    # What is the other job's own means nothing here.
    every.ask("POST", two, "/tick", data={"op": step})
    event = two.desk.log()[-1].event.id
    every.ask("POST", one, "/undo", data={"event": event})
    assert list(two.desk.state().ticks) == [step]
    assert not one.desk.state().ticks
    for data in ({"job": two.id}, {"every": "yes"}, {"job": [one.id, two.id]}):
        assert mine.ask("POST", None, "/devices/invite", data=data).status_code == 403
    mine.ask("POST", None, "/devices/end", data={"key": every.session.key})
    mine.ask("POST", one, "/devices/end", data={"key": every.session.key})
    assert every.ask("GET", two).status_code == 200
    assert "/pair/" in mine.ask("POST", None, "/devices/invite", data={"job": one.id}).text
    every.ask("POST", None, "/devices/end", data={"key": mine.session.key})
    assert mine.ask("GET", one).status_code == 401


def test_another_invitation_adds_to_what_a_device_may_see_and_a_restart_keeps_it(yard):
    one, two = yard.stands()
    mine = Door(yard, (one.id,))
    token = yard.sessions.invite((two.id,))
    taken = mine.ask("POST", two, f"/pair/{token}", data={"device": "phone"})
    assert taken.status_code == 303
    kept = Sessions(yard.folder / ".bench-devices.json", job=str(yard.folder))
    again = kept.of(taken.cookies[yard.sessions.cookie])
    assert (again.jobs, again.device) == ((one.id, two.id), "phone")
    assert kept.of(mine.cookie) is None


@before_landing
def test_jobs_that_are_ticked_at_once_do_not_mix_and_a_tool_in_use_is_said(yard, monkeypatch):
    stands, door = yard.stands(), Door(yard)
    # What pydantic makes up in two threads at once now and then fails: all of it is there before a request.
    monkeypatch.setattr(TypeAdapter, "__init__", None)
    steps = [step.operation.name for step in stands[0].desk.plan().steps][:5]  # the next one takes a socket

    def work(stand):
        for step in steps:
            answer = door.ask(
                "POST", stand, "/tick", data={"op": step}, headers={"Accept": "application/json"}
            )
            assert answer.status_code == 200, answer.text

    with ThreadPoolExecutor(2) as both:
        list(both.map(work, stands))
    for stand in stands:
        assert [one.event.body["ops"] for one in stand.desk.log() if one.event.kind is EventKind.DONE] == [
            [step] for step in steps
        ]
    assert "is in use: Second pump" in door.list()


@before_landing
def test_a_job_that_hangs_holds_up_no_other(yard, monkeypatch):
    one, two = yard.stands()
    monkeypatch.setattr("sequencer.bench.yard.PATIENCE_SECONDS", 0.2)
    door = Door(yard)
    door.list()
    with one.desk._lock:
        shown = door.list()
        assert "It is still being read" in shown
        assert shown.count("Next: 1 ") == 1
        assert door.ask("GET", two).status_code == 200


@before_landing
def test_two_benches_at_one_database_show_the_same_jobs(postgresql, tmp_path):  # noqa: F811
    job(tmp_path / "left" / "pump", "Shared pump", database=postgresql)
    job(tmp_path / "left" / "own", "Own pump")
    shutil.copytree(tmp_path / "left", tmp_path / "right")
    Journal.create(postgresql, tmp_path, "not here").close()
    with yard_of(tmp_path / "left", postgresql) as left, yard_of(tmp_path / "right", postgresql) as right:
        doors = [Door(left), Door(right)]
        stands = [yard.stands()[0] for yard in (left, right)]
        steps = [step.operation.name for step in stands[0].desk.plan().steps][:4]
        for door in doors:
            shown = door.list()
            assert "Shared pump" in shown
            assert "Own pump" not in shown
            assert "1 more in the database" in shown

        def work(at):
            for step in steps:  # an id each: the second of the two is told that it is done
                at[0].ask("POST", at[1], "/tick", data={"op": step}, headers={"Accept": "application/json"})

        with ThreadPoolExecutor(2) as both:
            list(both.map(work, zip(doors, stands, strict=True)))
        for stand in stands:
            assert list(stand.desk.state().ticks) == steps
        with Desk.open(tmp_path / "right" / "own") as own:
            assert not own.state().ticks
