"""Over every route there is: who is not paired sees nothing, who has no token of its own changes nothing."""

import random
import string

import pytest

from sequencer.bench import static
from sequencer.bench.access.pairing import PAIR, Sessions
from sequencer.bench.app import PARTS, page
from sequencer.job.desk import Desk
from tests.bench.conftest import make_job
from tests.bench.test_api import true_words
from tests.support.door import HERE, Door, picture
from tests.support.profile import before_landing, counts

ROUTES = sorted(
    {
        (method, route.path)
        for room in (static, *PARTS)
        for router in vars(room).values()
        if type(router).__name__ == "APIRouter"
        for route in router.routes
        for method in route.methods
    }
)
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND", "get")
FORMS = sorted(path for method, path in ROUTES if method == "POST" and not path.startswith(PAIR))


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """One job and its door for all of these: nothing here may change it."""
    folder = tmp_path_factory.mktemp("shop")
    make_job(folder / "job")
    desk = Desk.open(folder / "job")
    desk.note("a note that nobody else may read")
    sessions = Sessions(folder / "devices.json")
    door = Door(page(folder / "job", sessions, HERE), sessions)
    yield desk, door
    door.close()
    desk.close()


def fitting(desk, path):
    """A path of a route with true words in its braces: what is behind it is really there."""
    true = true_words(desk)
    for name, value in (("operation:path", true["op"][0]), ("token", "guess"), ("file", "x.jpg")):
        path = path.replace(f"{{{name}}}", value)
    return path.replace("{name}", true["part"][0])


def secrets(desk):
    """Words of this job that no stranger may be told."""
    machine = desk.machine
    return [
        desk.folder.card.title, desk.folder.card.id, "nobody else may read", "bench-pump",
        *machine.parts, *(op for _, op in desk.state().steps),
    ]  # fmt: skip


def beyond(count):
    """Paths that nobody wrote a route for, always the same."""
    rng = random.Random(7)
    signs = string.ascii_letters + string.digits + "/.%-_~?="
    odd = [
        "//",
        "/..",
        "/../job.yaml",
        "/./",
        "/static/../job.yaml",
        "/docs",
        "/redoc",
        "/openapi.json",
        "/PAIR/x",
    ]
    return odd + ["/" + "".join(rng.choices(signs, k=rng.randrange(1, 30))) for _ in range(count)]


@before_landing
def test_every_route_is_known_to_these_tests(shop):
    _, door = shop
    told = {(method, path) for method, path in door.operations()}
    assert told <= {(method, path.replace(":path", "")) for method, path in ROUTES}
    assert len(told) > 15


@pytest.mark.parametrize("cookie", [None, "guess", "ended"])
def test_who_is_not_paired_is_refused_every_route_by_every_method(shop, cookie):
    desk, door = shop
    if cookie == "ended":
        cookie = door.sessions.pair(door.sessions.invite(), "lost phone", "Eve")
        door.sessions.end(door.sessions.of(cookie))
    before, words, asked = desk.state().seq, secrets(desk), 0
    methods = METHODS if cookie is None else counts(quick=METHODS[:3], landing=METHODS, nightly=METHODS)
    for path in [
        *(fitting(desk, path) for path in dict(map(reversed, ROUTES))),
        *beyond(counts(quick=15, landing=30, nightly=60)),
    ]:
        for method in methods:
            answer = door.ask(method, path, cookie=cookie)
            asked += 1
            assert answer.status_code == 401, (method, path, answer.status_code)
            assert [one for one in words if one in answer.text] == [], (method, path)
            assert "set-cookie" not in answer.headers
    assert asked > len(methods) * counts(quick=40, landing=40, nightly=80)
    assert desk.state().seq == before


@before_landing
def test_an_invitation_that_is_not_taken_yet_shows_nothing_of_the_job(shop):
    desk, door = shop
    token = door.sessions.invite()
    for path in (f"{PAIR}{token}", *(f"{PAIR}{token}/{name}" for name in [*static.FILES, "job.yaml", "x"])):
        for method in METHODS[:-1]:
            if (method, path) == ("POST", f"{PAIR}{token}"):
                continue  # that takes it
            answer = door.ask(method, path, cookie=None)
            assert [one for one in secrets(desk) if one in answer.text] == [], (method, path)
    assert door.ask("GET", "/", cookie=None).status_code == 401


def complete(desk, path):
    """A form that would be taken if its token were right."""
    op = desk.state().left[0][1]
    part = next(op.partition(" ")[2] for _, op in desk.state().left if op.startswith("remove "))
    joint = next(op.partition(" ")[2] for _, op in desk.state().left if op.startswith("undo "))
    return {
        "op": op, "why": "w", "text": "off" if path == "/answer" else "t",
        "question": "x", "have": "90min",
        "line": "tray off, 2 screws PH2", "value": "1", "unit": "N.m", "blocks": part, "what": "stay",
        "held": "bolt 10", "joint": joint, "where": joint, "head": "T30",
        "state": "seized" if path == "/trouble" else "off", "part": part,
        "key": next(one.key for one in desk_sessions(desk)),
    }  # fmt: skip


def desk_sessions(desk):
    return Sessions(desk.folder.path.parent / "devices.json").devices()


@pytest.mark.parametrize("path", FORMS)
def test_no_form_without_its_sessions_own_token_writes_anything(shop, path):
    desk, door = shop
    other = door.sessions.of(door.sessions.pair(door.sessions.invite(), "other", "Bo"))
    before, paired = desk.state().seq, len(door.sessions.devices())
    body = complete(desk, path)
    files = {"photo": ("a.png", picture())} if path == "/photo" else None
    wrong = [None, "", other.csrf, door.csrf[:-1], door.csrf.upper() + "0", "\N{SNOWMAN}"]
    for token in wrong:
        data = body if token is None else {**body, "csrf": token}
        for accept in ("text/html", "application/json"):
            answer = door.ask("POST", path, data=data, files=files, headers={"Accept": accept})
            assert answer.status_code == 403, (token, answer.text)
    # The right token in a wrong place is none either, and what is no form is not read.
    assert door.ask("POST", path, params={"csrf": door.csrf}, data=body).status_code == 403
    assert door.ask("POST", path, headers={"X-CSRF-Token": door.csrf}, data=body).status_code == 403
    assert door.ask("POST", path, json={**body, "csrf": door.csrf}).status_code == 415
    assert door.ask("POST", path, content=b"csrf=" + door.csrf.encode()).status_code == 415
    assert door.ask("GET", path, params={**body, "csrf": door.csrf}).status_code in (200, 404, 405, 422)
    assert desk.state().seq == before
    assert len(door.sessions.devices()) == paired


@before_landing
def test_with_its_token_each_of_these_forms_would_have_been_taken(tmp_path):
    """So that what is refused above is refused for its token alone."""
    written, tried = set(), counts(quick=FORMS[::6], landing=FORMS, nightly=FORMS)
    for path in tried:
        folder = tmp_path / path.strip("/").replace("/", "-")
        make_job(folder / "job")
        desk = Desk.open(folder / "job")
        sessions = Sessions(folder / "devices.json")
        door = Door(page(folder / "job", sessions, HERE), sessions)
        if path == "/answer":
            desk.did("tray, in the way of the pulley")  # it asks how far it came off
        before = desk.state().seq
        files = {"photo": ("a.png", picture())} if path == "/photo" else None
        answer = door.ask("POST", path, data={**complete(desk, path), "csrf": door.csrf}, files=files)
        assert answer.status_code in (200, 303), (path, answer.text)
        if desk.state().seq > before:
            written.add(path)
        door.close()
        desk.close()
    assert written >= set(tried) & {
        "/did",
        "/answer",
        "/tick",
        "/skip",
        "/note",
        "/photo",
        "/resume",
        "/found",
        "/trouble",
    }
