"""The door: nothing is served to a device that was not invited, nor to another site's page."""

from base64 import b64encode
from hashlib import sha256

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from sequencer.bench.access.address import address
from sequencer.bench.access.guard import BODY_AT_MOST, PHOTO_AT_MOST, Guard
from sequencer.bench.access.pairing import INVITATION_SECONDS, SESSION_SECONDS, Sessions
from tests.support.door import alone
from tests.support.profile import before_landing

HOST = "127.0.0.1:8765"
SECRET = "the job"


class Clock:
    def __init__(self):
        self.now = 1_000_000.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def sessions(tmp_path, clock):
    return Sessions(tmp_path / "devices.json", clock)


async def _anything(request: Request):
    body = await request.body()
    return PlainTextResponse(f"{SECRET} {len(body)}")


@pytest.fixture
def door(sessions):
    inner = Starlette(
        routes=[Route("/{path:path}", _anything, methods=["GET", "POST", "PUT", "DELETE", "OPTIONS"])]
    )
    return Guard(inner, sessions, address(lan=False, port=8765))


def ask(door, method, path, *, host=HOST, **kwargs):
    async def go():
        transport = httpx.ASGITransport(door)
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{host}") as client:
            return await client.request(method, path, **kwargs)

    return alone(go())


def paired(sessions):
    return {"Cookie": f"{sessions.cookie}={sessions.pair(sessions.invite(), 'phone', 'Ada')}"}


@before_landing
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"])
@pytest.mark.parametrize(
    "path", ["/", "/static/bench.css", "/openapi.json", "/photo/1.jpg", "/pair/", "/pair/guess"]
)
def test_an_unpaired_device_is_refused_everything_reads_included(door, method, path):
    answer = ask(door, method, path)
    assert answer.status_code == 401
    assert SECRET not in answer.text


@pytest.mark.parametrize("cookie", ["", "guess", "a=b; c", "{name}=", "{name}=guess", '"', "{name}=\\000"])
def test_a_cookie_that_was_not_given_out_opens_nothing(door, sessions, cookie):
    paired(sessions)
    assert (
        ask(door, "GET", "/", headers={"Cookie": cookie.replace("{name}", sessions.cookie)}).status_code
        == 401
    )


def test_a_paired_device_is_let_in(door, sessions):
    answer = ask(door, "GET", "/", headers=paired(sessions))
    assert (answer.status_code, answer.text) == (200, f"{SECRET} 0")


def test_an_invitation_shows_only_the_pairing_page_and_works_once(door, sessions):
    token = sessions.invite()
    assert ask(door, "GET", f"/pair/{token}").status_code == 200
    assert ask(door, "GET", "/").status_code == 401
    assert sessions.pair(token, "phone", "Ada")
    assert sessions.pair(token, "phone", "Ada") is None
    assert ask(door, "GET", f"/pair/{token}").status_code == 401


def test_an_invitation_ends_after_ten_minutes(door, sessions, clock):
    token = sessions.invite()
    clock.now += INVITATION_SECONDS + 1
    assert ask(door, "GET", f"/pair/{token}").status_code == 401
    assert sessions.pair(token, "phone", "Ada") is None


def test_a_session_ends_by_itself_and_when_told_to(door, sessions, clock):
    first, second = paired(sessions), paired(sessions)
    sessions.end(sessions.of(second["Cookie"].partition("=")[2]))
    assert ask(door, "GET", "/", headers=second).status_code == 401
    assert ask(door, "GET", "/", headers=first).status_code == 200
    clock.now += SESSION_SECONDS + 1
    assert ask(door, "GET", "/", headers=first).status_code == 401


def test_a_restart_keeps_the_devices_but_no_token_that_would_open_the_door(tmp_path, sessions, clock):
    cookie = sessions.pair(sessions.invite(), "phone", "Ada")
    file = tmp_path / "devices.json"
    assert file.stat().st_mode & 0o077 == 0
    assert cookie not in file.read_text(encoding="utf-8")
    assert Sessions(file, clock).of(cookie).device == "phone"


@pytest.mark.parametrize("text", ["", "no json", "[1]", '[{"key": "x"}]', "null"])
def test_a_damaged_file_pairs_nobody(tmp_path, text):
    (tmp_path / "devices.json").write_text(text, encoding="utf-8")
    assert Sessions(tmp_path / "devices.json").devices() == ()


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:9999", "127.0.0.1", "localhost"])
def test_a_name_that_is_not_ours_is_refused_even_to_a_paired_device(door, sessions, host):
    answer = ask(door, "GET", "/", host=host, headers=paired(sessions))
    assert answer.status_code == 421


@pytest.mark.parametrize(
    "said",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": f"http://{HOST}.evil.example"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_another_sites_page_can_change_nothing(door, sessions, said):
    assert ask(door, "POST", "/done", headers=paired(sessions) | said).status_code == 403


def test_the_pages_own_forms_are_let_through(door, sessions):
    said = {"Origin": f"http://{HOST}", "Sec-Fetch-Site": "same-origin"}
    assert ask(door, "POST", "/done", headers=paired(sessions) | said, content=b"x").text == f"{SECRET} 1"


@pytest.mark.parametrize(("path", "limit"), [("/note", BODY_AT_MOST), ("/photo", PHOTO_AT_MOST)])
def test_what_is_too_large_is_refused_whether_it_says_so_or_not(door, sessions, path, limit):
    headers = paired(sessions)
    assert ask(door, "POST", path, headers=headers, content=b"x" * limit).status_code == 200
    assert ask(door, "POST", path, headers=headers, content=b"x" * (limit + 1)).status_code == 413

    async def pieces():
        for _ in range(limit // 8192 + 2):
            yield b"x" * 8192

    assert ask(door, "POST", path, headers=headers, content=pieces()).status_code == 413


@pytest.mark.parametrize("path", ["/", "/pair/guess"])
def test_every_answer_keeps_other_sites_and_frames_out(door, path):
    headers = ask(door, "GET", path).headers
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert "'unsafe-inline'" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    ("host", "status", "words"),
    [(HOST, 401, "Ask at the bench for an invitation"), ("evil.example", 421, "address")],
)
def test_a_refusal_is_a_page_of_ours_that_says_what_to_do(door, host, status, words):
    answer = ask(door, "GET", "/", host=host)
    assert answer.status_code == status
    assert answer.headers["content-type"].startswith("text/html")
    assert words in answer.text
    style = answer.text.partition("<style>")[2].partition("</style>")[0]
    mark = b64encode(sha256(style.encode()).digest()).decode()
    assert f"'sha256-{mark}'" in answer.headers["content-security-policy"]  # or no browser would use it
