"""What is on the first screen of a phone, upright, on its side, at twice the size; nothing is covered."""

import re
from urllib.parse import quote
from urllib.request import Request, urlopen

import httpx
import pytest

from sequencer.job.desk import By
from tests.bench.conftest import VAN, serving
from tests.support.profile import at_night, before_landing

PHONE = {"width": 360, "height": 740}
SCREENS = {
    "upright": PHONE,
    "on its side": {"width": 740, "height": 360},
    "laptop at 200 %": {"width": 640, "height": 360},
    "phone at 200 %": {"width": 180, "height": 370},
}
"""In the pixels of the page's own style: at 200 % half as many fit."""

LID = """
machine: Lid
parts:
  lid: {joints: {bolts: {kind: bolt, head: 10, thread: M6, count: 2, torque: {stages: [4 N.m, 9 N.m]}}}}
  core: {behind: [lid], joints: {clip: {kind: clip}}}
"""

BOX = ".station:not([hidden]) .tick"


@pytest.fixture(scope="module")
def turned(tmp_path_factory):
    """The pump's job on its way back, with all of its gates ahead."""
    with serving(tmp_path_factory.mktemp("turned") / "job") as job:
        by = By("Ada", "test")
        job.desk.resume(by=by)
        job.desk.done([step.operation.name for step in job.desk.plan().steps], by=by)
        job.desk.turn(by=by)
        yield job


def page_of(served, path):
    """A page as a device without a browser reads it."""
    asked = Request(f"{served.url}{path}", headers={"Cookie": f"{served.sessions.cookie}={served.cookie()}"})
    with urlopen(asked) as answer:
        return answer.read().decode()


def seen(page, where):
    """Top and bottom of the first of ``where``, and where what is always at hand begins beneath it."""
    box, nav = page.locator(where).first.bounding_box(), page.locator("#always").bounding_box()
    beside = nav["x"] >= box["x"] + box["width"]
    below = page.viewport_size["height"] if beside else min(nav["y"], page.viewport_size["height"])
    return box["y"], box["y"] + box["height"], below


def test_a_gate_is_read_and_closed_on_the_first_screen(device, turned):
    phone = device(served=turned)
    gates = list(turned.desk.plan().gates)
    for name in ("upright", "on its side"):
        staged = [gate for gate in gates if gate.joint == "cover/bolts"]
        for gate in gates if name == "upright" else staged:
            phone.page.set_viewport_size(SCREENS[name])
            page = phone.open(f"/gate/{quote(f'torque {gate.joint}')}")
            shown = (".hold", ".figure", "#value", ".keypad", "select#fasteners", ".reading-form > .main")
            for where in shown:
                if page.locator(where).count():
                    top, bottom, below = seen(page, where)
                    assert 0 <= top < bottom <= below, (name, gate.joint, where)


@before_landing
def test_bolts_are_counted_by_taps_and_keys_where_that_is_wished_and_nothing_of_it_is_kept(device, turned):
    phone = device(served=turned)
    pages = (phone.open(f"/gate/{quote(f'torque {gate.joint}')}") for gate in turned.desk.plan().gates)
    page = next(page for page in pages if page.locator(".order .bolt").count() > 2)
    bolts, before = page.locator(".order .bolt"), turned.desk.moment().state.seq
    last = bolts.count()
    assert page.locator(".bolt[role]").count() == 0
    assert not page.locator("#counted").is_visible()
    page.get_by_label("Count the bolts by tapping").check()
    assert page.inner_text("#counted") == f"0 of {last}, next 1"
    first = bolts.nth(0).locator("circle").first
    first.scroll_into_view_if_needed()
    box = first.bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] - 8)  # a thumb beside it
    assert page.inner_text("#counted") == f"1 of {last}, next 2"
    bolts.nth(2).focus()
    page.keyboard.press("Space")
    assert page.inner_text("#counted") == f"2 of {last}, next 2"
    assert bolts.nth(2).get_attribute("aria-checked") == "true"
    page.keyboard.press("Enter")
    assert page.inner_text("#counted") == f"1 of {last}, next 2"
    page.locator("#count-anew").tap()
    assert page.inner_text("#counted") == f"0 of {last}, next 1"
    page.reload()
    assert page.locator(".bolt[role]").count() == 0
    assert turned.desk.moment().state.seq == before


@before_landing
def test_stages_come_one_by_one(device, tmp_path):
    (tmp_path / "lid.yaml").write_text(LID)
    with serving(tmp_path / "job", tmp_path / "lid.yaml", ("core",)) as job:
        by = By("Ada", "test")
        job.desk.done([step.operation.name for step in job.desk.plan().steps], by=by)
        job.desk.turn(by=by)
        job.desk.done(["fit core", "fasten core/clip", "fit lid", "fasten lid/bolts"], by=by)
        page = device(served=job).open(f"/gate/{quote('torque lid/bolts')}")
        for number, stage in ((1, "4 N.m"), (2, "9 N.m")):
            assert page.locator(".figure").inner_text() == f"GATE {stage} stage {number} of 2"
            page.fill("#value", stage.removesuffix(" N.m"))
            page.locator("#fasteners").select_option("all")
            page.locator(".reading-form > .main").tap()
            page.wait_for_function(
                "said => !document.querySelector('.figure')?.textContent.includes(said)",
                arg=f"stage {number} of",
            )
        assert not job.desk.plan().steps


@before_landing
@pytest.mark.parametrize("screen", SCREENS)
def test_the_steps_box_is_on_the_first_screen_and_nothing_covers_it(device, turned, screen):
    page = device(served=turned, viewport=SCREENS[screen]).open()
    top, bottom, below = seen(page, BOX)
    assert 0 <= top < below
    if screen != "phone at 200 %":  # there its greater part
        assert bottom <= below
    # Scrolled to its end, the page shows all of the last thing in it.
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    last = page.locator("main > *:visible").last.bounding_box()
    nav = page.locator("#always").bounding_box()
    assert last["y"] + last["height"] <= nav["y"] + 1 or nav["x"] >= last["x"] + last["width"]


EVERY_BOX = """
() => {
  const said = [], nav = document.querySelector('#always').getBoundingClientRect();
  const stations = [...document.querySelectorAll('.station[data-station]')];
  for (const one of stations) one.hidden = true;
  for (const station of stations) {
    station.hidden = false;
    for (const step of station.querySelectorAll('.steps > li')) {
      const box = step.querySelector('.tick').getBoundingClientRect();
      const beside = nav.left >= box.right || nav.top > innerHeight;
      said.push([step.dataset.op, box.top >= 0 && box.bottom <= (beside ? innerHeight : nav.top)]);
      step.hidden = true;
    }
    station.hidden = true;
  }
  return said;
}
"""
"""Each step that *Now* holds as the next one: whether all of its box is on the screen."""


@at_night
def test_the_box_of_every_step_of_the_van_is_on_the_screen(device, tmp_path):
    with serving(tmp_path / "job", VAN, ("head",)) as job:
        by = By("Ada", "test")
        job.desk.resume(by=by)
        phone = device(served=job)
        for way in ("in", "back"):
            if way == "back":
                job.desk.done([step.operation.name for step in job.desk.plan().steps], by=by)
                job.desk.turn(by=by)
                phone.open("/overview")
            for name in ("on its side", "laptop at 200 %", "phone at 200 %"):
                phone.page.set_viewport_size(SCREENS[name])
                page = phone.open()
                page.wait_for_selector(".station[data-station]")
                boxes = page.evaluate(EVERY_BOX)
                assert len(boxes) > 50, (way, name)
                assert [op for op, seen in boxes if not seen] == [], (way, name)


def test_stop_photo_in_the_way_and_what_is_stuck_are_one_tap_from_now(device, served):
    served.desk.resume(by=By("Ada", "test"))
    served.desk.done(1, by=By("Ada", "test"))
    page = device().open()
    step = page.locator(".station:not([hidden]) li").first
    assert "Belt guard: screws" in step.inner_text()
    for words in ("In the way?", "Won't come undone", "Photo, note, more"):
        assert step.get_by_role("link", name=words).is_visible()
    assert page.locator("#always").get_by_role("link", name="Stop").is_visible()
    step.get_by_role("link", name="Won't come undone").tap()
    assert page.locator("main h2").inner_text() == "Belt guard: screws won't come undone"


@before_landing
def test_undo_says_in_words_what_it_takes_back(device, served):
    phone = device()
    page = phone.open()
    page.locator(BOX).first.tap()
    page.wait_for_function("() => document.querySelector('#always .what') !== null")
    words = "Undo: the tick of 1 Isolate the supply; lock it; prove it dead"
    assert page.locator("#always .what").inner_text() == words


def test_a_step_that_speaks_of_a_picture_shows_it(turned):
    gate = next(gate for gate in turned.desk.plan().gates if gate.joint == "cover/bolts")
    text = page_of(turned, f"/step/{quote(f'torque {gate.joint}')}")
    assert "as numbered in the picture" in text
    assert re.search(r'<pre class="picture">\s+\[1\]\n', text)


def test_pages_go_out_packed_and_the_stream_of_news_as_it_is(shown):
    cookies = {shown.sessions.cookie: shown.cookie()}
    packed = httpx.get(shown.url, cookies=cookies, headers={"Accept-Encoding": "gzip"})
    plain = httpx.get(shown.url, cookies=cookies, headers={"Accept-Encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert int(packed.headers["content-length"]) * 3 < len(plain.content)
    with httpx.stream("GET", f"{shown.url}/events", cookies=cookies) as news:
        assert "content-encoding" not in news.headers
        assert next(news.iter_lines()) == "event: clock"


@before_landing
def test_an_elbow_or_a_foot_switch_ticks_the_next_step_once(device):
    phone = device()
    phone.at_the_start("window.spoken = []; speechSynthesis.speak = (one) => window.spoken.push(one.text);")
    page = phone.open()
    page.locator("summary", has_text="Hands full").tap()
    for name in ("large", "say"):
        page.locator(f"[data-hands={name}]").check()
    page.locator("[data-hands-key]").tap()
    page.keyboard.press("PageDown")
    assert page.locator("#hands-key").inner_text() == "PageDown"
    page.locator(".large-done").tap()
    page.locator(".large-done").tap()  # the same elbow
    page.wait_for_function("() => window.spoken.length === 1")
    assert len(phone.ticked()) == 1
    page.wait_for_timeout(1100)
    page.keyboard.press("PageDown")
    for _ in range(200):
        if len(phone.ticked()) == 2:
            break
        page.wait_for_timeout(50)
    assert len(phone.ticked()) == 2
