"""Whatever is sent to the page, it never breaks down; what is kept as text comes out as text."""

import re
from collections import Counter
from html.parser import HTMLParser
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, Phase, given, note, settings
from hypothesis import strategies as st

from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page, survey_page
from sequencer.bench.static import FILES
from sequencer.job.desk import Desk
from sequencer.job.journal.events import EventKind
from tests.bench.conftest import ROOT, make_job
from tests.support.door import HERE, Door, picture
from tests.support.profile import before_landing, counts

CASES, SURVEY_CASES, MISSED = counts(quick=(240, 20, 2), nightly=(20_000, 2000, 5))
WAYS = (False, True)
"""Whether the job goes back together."""

STEPS = counts(quick=4, landing=None, nightly=None)
"""Of which each page is asked for."""


@pytest.fixture
def door(desk, tmp_path):
    sessions = Sessions(tmp_path / "devices.json")
    made = Door(page(tmp_path / "job", sessions, HERE), sessions)
    yield made
    made.close()


@pytest.fixture
def survey_door(tmp_path):
    sessions = Sessions(tmp_path / "devices.json")
    made = Door(survey_page(tmp_path / "machine.yaml", sessions, HERE), sessions)
    yield made
    made.close()


def true_words(desk):
    """What a field may truly say on this job: random text alone would be refused at the first look."""
    machine = desk.machine
    ops = [op for _, op in desk.state().steps]
    joints = [joint.path for part in machine.parts.values() for joint in part.joints.values()]
    parts = list(machine.parts)
    return {
        "op": ops, "operation": ops, "name": parts, "part": parts, "known": ["", *parts], "joint": joints,
        "blocks": [*parts, *joints], "what": ["Stay <b>", "Hose"], "how": ["blocks", "traps"],
        "state": ["off", "aside", "loose", "seized", "broken"], "held": ["", "bolt 10 x2", "bolt"],
        "position": ["", *machine.positions], "apart": ["", "yes"], "value": ["24.5", "8"], "unit": ["N.m"],
        "time": ["", "2026-11-25T10:02:15Z"], "id": [""], "anyway": ["", "it was off"], "photo": [picture()],
    }  # fmt: skip


def sent(door, case, true, draw):
    """Send ``case``; every second one, and half of the others' fields, get words that mean something."""
    wholly = draw(st.booleans())

    def one_of(words):  # a draw of one shape, however many words there are now
        return words[draw(st.integers(0, 9999)) % len(words)]

    def known(name, value):
        return one_of(true[name]) if name in true and (wholly or draw(st.booleans())) else value

    path = case.path
    for name, value in (case.path_parameters or {}).items():
        path = path.replace(f"{{{name}}}", quote(str(known(name, value)), safe=""))
    query = {name: known(name, value) for name, value in (case.query or {}).items()}
    accept = draw(st.sampled_from(["text/html", "application/json"]))
    more = {"params": query, "headers": {"Accept": accept}}
    if case.method.upper() == "GET":
        return door.ask("GET", path, **more)
    media = case.media_type or "application/x-www-form-urlencoded"
    if not isinstance(case.body, dict):
        more["headers"]["Content-Type"] = "application/x-www-form-urlencoded"
        raw = f"csrf={door.csrf}&{case.body}"
        return door.ask(case.method, path, content=raw.encode("utf-8", "surrogatepass"), **more)
    body = {str(name): known(name, value) for name, value in case.body.items()}
    if media.startswith("multipart"):
        photo = body.pop("photo", b"")
        content = photo if isinstance(photo, bytes) else str(photo).encode("utf-8", "surrogatepass")
        more["files"] = {"photo": ("a.jpg", content)}
    return door.ask(case.method, path, data={**fields(body), "csrf": door.csrf}, **more)


def fields(body):
    """Values as a form can carry them."""
    return {
        name: [plain(one) for one in value] if isinstance(value, list) else plain(value)
        for name, value in body.items()
    }


def plain(value):
    return (value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")).decode(
        "utf-8", "replace"
    )


def tried(door, cases, true, following=list):
    """Every operation of the page's own OpenAPI, with what fits it and with what doesn't; the statuses.

    The steps that are ``following`` now come up more often than others: so the job gets somewhere.
    """
    import schemathesis  # takes seconds, which only the process that tries needs

    schema = schemathesis.openapi.from_dict(door.schema)
    modes = list(schemathesis.GenerationMode)
    every = [found.ok() for found in schema.get_all_operations()]
    seen, reached = Counter(), set()

    # One job lives through all of it, so a failure is told by its first case and not made smaller.
    def some(operations, count):
        @settings(
            max_examples=count, derandomize=True, database=None, deadline=None, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        @given(st.data())
        def run(data):
            operation = data.draw(st.sampled_from(operations))
            case = data.draw(operation.as_strategy(generation_mode=data.draw(st.sampled_from(modes))))
            note(f"{operation.label} {case.path_parameters} {case.query} {case.body!r}")
            ops = [*following() * 5, *true.get("op", ())]
            answer = sent(door, case, {**true, "op": ops} if ops else true, data.draw)
            seen[answer.status_code] += 1
            reached.add(operation.label)
            assert answer.status_code < 500, (case, answer.text)

        run()

    some(every, cases)
    for missed in [operation for operation in every if operation.label not in reached]:
        some([missed], MISSED)
    assert reached == {operation.label for operation in every}
    return seen


@before_landing
@pytest.mark.parametrize("turned", WAYS, ids=str)
def test_requests_of_every_kind_and_no_breakdown(door, desk, turned):
    if turned:
        desk.done([op for _, op in desk.state().left])
        desk.turn()
    true, before = true_words(desk), desk.state().seq
    seen = tried(door, CASES // 2, true, lambda: [op for _, op in desk.state().left[:3]])
    assert sum(seen.values()) >= CASES // 2
    assert seen[200] > CASES / 20, seen  # it got farther than the first refusal
    assert seen[303] > CASES / 40, seen
    kinds = {one.event.kind for one in desk.log()[before:]}
    assert EventKind.DONE in kinds
    assert len(kinds) >= 3, kinds  # which of the others come up among so few requests is chance


@before_landing
def test_a_survey_takes_anything_without_a_breakdown(survey_door):
    seen = tried(survey_door, SURVEY_CASES, {})
    assert sum(seen.values()) >= SURVEY_CASES


class Elements(HTMLParser):
    """Every element of a page with its attributes, and all that is text."""

    def __init__(self, text):
        super().__init__()
        self.made, self.text = [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.made.append((tag, dict(attrs)))
        self.text += [value or "" for name, value in attrs if name in ("value", "aria-label", "alt")]

    def handle_data(self, data):
        self.text.append(data)


def markup(field):
    """Text that would make an element, or an attribute, wherever it stood unescaped."""
    return f"{field}<x-made a='1'>\"><x-made x-made=1>' x-made=2 </script></title><x-made>&lt;x-made&gt;"


def every_page(desk):
    """Each page that the job has, each of its steps, parts and joints included."""
    machine = desk.machine
    ops = list(dict.fromkeys([*(op for _, op in desk.state().steps), *desk.state().ticks]))[:STEPS]
    yield from ("/", "/overview", "/beside", "/tonight", "/diagram", "/record", "/log", "/devices", "/found")
    for op in ops:
        yield from (f"/step/{quote(op)}", f"/gate/{quote(op)}", f"/found?op={quote(op)}")
    for part in list(machine.parts.values())[:STEPS]:
        yield from (f"/part/{quote(part.name, safe='')}", f"/found?part={quote(part.name, safe='')}")
        yield from (f"/trouble?joint={quote(joint.path, safe='')}" for joint in part.joints.values())


def put_everywhere(door, desk):
    """Markup through every field that keeps text; yields the fields in turn."""
    first, second, third = [op for _, op in desk.state().left][:3]
    later = desk.state().left[-4][1]
    yield "note of the job", door.post("/note", {"text": markup("note of the job")})
    yield "note of a step", door.post("/note", {"text": markup("note of a step"), "op": second})
    yield (
        "photo",
        door.ask(
            "POST",
            "/photo",
            data={"csrf": door.csrf, "op": second, "text": markup("photo")},
            files={"photo": ("a.jpg", picture())},
        ),
    )
    yield "skip", door.post("/skip", {"op": third, "why": markup("skip")})
    yield "anyway", door.post("/tick", {"op": later, "anyway": markup("anyway")})
    part = next(op.partition(" ")[2] for _, op in desk.state().left if op.startswith("remove "))
    told = {"blocks": part, "what": markup("what")[:80], "note": markup("found note"), "held": "bolt 10 x2"}
    yield "found note", door.post("/found", told)
    yield "tick", door.post("/tick", {"op": first})
    yield "stop", door.post("/stop", {"why": markup("stop")})


@before_landing
def test_markup_in_every_field_comes_out_as_text_on_every_page(door, desk):
    token = door.sessions.invite()
    names = {"person": markup("person")[:79], "device": markup("device")[:79]}
    paired = door.ask("POST", f"/pair/{token}", cookie=None, data=names)
    door.cookie = paired.headers["set-cookie"].partition("=")[2].partition(";")[0]
    door.csrf = door.sessions.of(door.cookie).csrf
    seen = []
    stored = ["person", "device", "what"]
    for field, answer in put_everywhere(door, desk):
        assert answer.status_code == 303, (field, answer.text)
        shown = door.ask("GET", "/")
        assert 'id="complaint" role="alert" hidden' in shown.text, (field, shown.text)
        seen.append(Elements(shown.text))
        stored.append(field)
    for path in every_page(desk):
        answer = door.ask("GET", path)
        assert answer.status_code in (200, 404), (path, answer.text)
        assert answer.headers["x-content-type-options"] == "nosniff"
        if answer.headers["content-type"].startswith("text/html"):
            seen.append(Elements(answer.text))
    for found in seen:
        assert [one for one in found.made if one[0] == "x-made" or "x-made" in one[1]] == []
    text = "\n".join(piece for found in seen for piece in found.text)
    for field in set(stored) - {"tick"}:
        assert f"{field}<x-made a='1'>" in text, field


@before_landing
def test_no_field_at_all_can_break_a_refusal(door, desk):
    """What is refused is said back, often with the very words that were sent."""
    for fields in ({"op": markup("op")}, {"op": markup("op"), "anyway": "x"}):
        assert door.post("/tick", fields).status_code == 303
        shown = Elements(door.ask("GET", "/").text)
        assert "x-made" in "".join(shown.text)
        assert [one for one in shown.made if one[0] == "x-made" or "x-made" in one[1]] == []


@before_landing
def test_a_step_shows_its_newest_notes_and_its_own_page_all_of_them(door, desk):
    op = desk.state().left[0][1]
    for number in range(1, 26):
        desk.note(f"remark {number}.", [op])
    assert "22 more before these" in (now := door.ask("GET", "/").text)
    assert "remark 25." in now
    assert "remark 22." not in now
    assert "remark 1." in door.ask("GET", f"/step/{quote(op)}").text
    overview = door.ask("GET", "/overview").text
    assert "5 more before these" in overview
    assert "remark 6." in overview
    assert "remark 5." not in overview


LONG, HELD = counts(quick=(("timing-belt",), 50), landing=(("head",), 60), nightly=(("head",), 60))


@before_landing
@pytest.mark.parametrize("turned", WAYS, ids=str)
def test_the_page_of_a_long_job_stays_light_and_holds_many_steps_for_want_of_a_connection(tmp_path, turned):
    make_job(tmp_path / "job", ROOT / "models" / "delivery-van.yaml", LONG)
    desk = Desk.open(tmp_path / "job")
    if turned:
        desk.done([op for _, op in desk.state().left])
        desk.turn()
    sessions = Sessions(tmp_path / "devices.json")
    door = Door(page(tmp_path / "job", sessions, HERE), sessions)
    shown = door.ask("GET", "/")
    files = [door.ask("GET", f"/static/{name}") for name in FILES]
    held = [dict(attrs)["data-op"] for tag, attrs in Elements(shown.text).made if "data-op" in attrs]
    assert sum(len(one.content) for one in (shown, *files)) < 150_000
    assert len(held) >= HELD
    assert held == [op for _, op in desk.state().left][: len(held)]
    door.close()
    desk.close()


def test_what_nobody_foresaw_is_a_page_and_names_no_folder(door, desk, monkeypatch):
    def broken(*_args, **_kwargs):
        raise OSError(f"no room in {desk.folder.path}")

    monkeypatch.setattr(Desk, "moment", broken)
    door.client._transport.raise_app_exceptions = False
    answer = door.ask("GET", "/")
    assert answer.status_code == 500
    assert "your ticks are kept" in answer.text
    assert str(desk.folder.path) not in answer.text
    data = door.ask("GET", "/", headers={"Accept": "application/json"})
    assert data.json() == {"problem": "Something went wrong here"}


@before_landing
def test_how_far_one_gets_tonight_is_said_and_nonsense_is_asked_back(door):
    assert 'name="have"' in door.ask("GET", "/").text
    door.post("/tonight", {"have": "45 min"})
    said = door.ask("GET", "/tonight").text
    assert re.search(r"In 45 min: stop after step", said)
    assert "Lay out" in said
    assert re.search(r"<summary><span>In 45 min: stop after step", door.ask("GET", "/").text)
    for field, nonsense in (("have", "soon"), ("until", "25:00")):
        fault = door.post("/tonight", {field: nonsense}, headers={"Accept": "application/json"})
        assert (fault.status_code, bool(fault.json()["problem"])) == (409, True)
