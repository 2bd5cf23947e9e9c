"""The page in a real browser: one thumb, no script, no connection, two devices, a keyboard."""

import re
from contextlib import suppress

import pytest

from sequencer.job.desk import By
from sequencer.job.journal.events import EventKind
from tests.bench.conftest import PATIENCE
from tests.job.through import tick as tick_at_the_desk
from tests.support.profile import before_landing, counts

TICKS = ".station:not([hidden]) li:not(.is-done) button.tick"
PATHS = [
    "/",
    "/overview",
    "/tonight",
    "/diagram",
    "/log",
    "/devices",
    "/models?words=belt",
    "/models/garden-tractor",
    "/part/cover",
    "/step/undo%20guard/screws",
]


def of_all_paths(first, *others):
    """Each page in each of these ways; at once one of them in the first, and one in all."""
    every = [(path, way) for way in (first, *others) for path in PATHS]
    few = [(PATHS[3], first)] + [(PATHS[0], way) for way in (first, *others)]
    return counts(quick=few, landing=every, nightly=every)


BETWEEN_TAPS = 400  # milliseconds: two taps that are closer count as one


def tick_first(page, times=1):
    """Tap the first open box; a script, or the form's own answer, brings the next."""
    from playwright.sync_api import TimeoutError as NotInTime  # only where there is a browser

    for _ in range(times):
        before = page.locator(TICKS).first.get_attribute("aria-label")
        for patience in (
            8_000,
            8_000,
            PATIENCE,
        ):  # a tap while the page changes is lost
            page.locator(TICKS).first.tap()
            with suppress(NotInTime):
                page.wait_for_function(
                    "before => document.querySelector('.station:not([hidden]) li:not(.is-done) button.tick')"
                    "?.getAttribute('aria-label') !== before",
                    arg=before,
                    timeout=patience,
                )
                break
        else:
            raise AssertionError(f"{before} is not ticked")
        page.wait_for_timeout(BETWEEN_TAPS)


def wait_for_text(page, where, text):
    page.wait_for_function(
        "([where, text]) => document.getElementById(where).textContent.includes(text)",
        arg=[where, text],
        timeout=PATIENCE,
    )


def wait_for_ticks(device, count):
    for _ in range(PATIENCE // 50):
        if len(device.ticked()) == count:
            break
        device.page.wait_for_timeout(50)
    assert len(device.ticked()) == count


@before_landing
def test_an_invitation_is_taken_once_with_a_name(device, served):
    phone = device(paired=False)
    link = served.invite()
    phone.page.goto(link)
    phone.page.fill("#person", "Ada <b>")
    phone.page.fill("#device", "old phone")
    phone.page.locator("button.main").tap()
    phone.page.wait_for_url(served.url + "/")
    assert [(one.person, one.device) for one in served.sessions.devices()] == [("Ada <b>", "old phone")]
    assert "not paired" in device(paired=False).context.new_page().goto(link).text()


@before_landing
def test_one_tap_ticks_a_step_and_one_takes_it_back(device):
    phone = device()
    page = phone.open()
    tick_first(page)
    wait_for_text(page, "head", "1 of")
    page.locator("#undo").tap()
    wait_for_ticks(phone, 0)


@before_landing
def test_undo_names_exactly_what_it_takes_back_notes_included(device, served):
    phone = device(java_script_enabled=False)
    served.desk.note("the left one is worn", by=By("Ada", "phone"))
    served.desk.done([served.desk.state().left[0][1]], by=By("Bo", "tablet"))
    page = phone.open()
    assert page.locator("#undo").get_attribute("aria-label") == "Undo: note the left one is worn"
    tap(page, page.locator("#undo"))
    assert "Taken back: note the left one is worn" in page.locator(".said").inner_text()
    assert page.locator("#undo").is_disabled()
    assert len(phone.ticked()) == 1


@before_landing
def test_undo_takes_back_what_the_page_named_also_if_the_device_did_more_meanwhile(device, served):
    phone = device(java_script_enabled=False)
    first = served.desk.state().left[0][1]
    served.desk.note("worn", by=By("Ada", "phone"))
    page = phone.open()
    served.desk.done([first], by=By("Ada", "phone"))
    tap(page, page.locator("#undo"))
    assert phone.ticked() == [first]
    assert not served.desk.state().of(EventKind.NOTE)


@before_landing
def test_a_second_line_ticks_the_whole_station(device, served):
    phone = device()
    page = phone.open()
    while not page.locator(".station:not([hidden]) .tick-all").count():
        tick_first(page)
    size = int(re.search(r"\d+", page.locator(".station:not([hidden]) .tick-all").inner_text()).group())
    before = len(phone.ticked())
    page.locator(".station:not([hidden]) .tick-all").tap()
    wait_for_ticks(phone, before + size)


@before_landing
def test_without_a_script_forms_do_the_same(device):
    phone = device(java_script_enabled=False)
    page = phone.open()
    with page.expect_navigation():
        page.locator(TICKS).first.tap()
    assert len(phone.ticked()) == 1
    assert "Ticked step 1" in page.locator(".said").inner_text()
    with page.expect_navigation():
        page.locator("#undo").tap()
    assert phone.ticked() == []
    with page.expect_navigation():
        page.locator(".station a.more", has_text="Photo, note").first.tap()
    page.fill("#note", "the left one <script>alert(1)</script> is worn")
    with page.expect_navigation():
        page.get_by_role("button", name="Keep the note").tap()
    assert "Noted at step 1" in page.locator(".said").inner_text()
    assert "<script>alert(1)</script> is worn" in phone.open("/overview").inner_text("main")


@before_landing
def test_two_devices_soon_show_the_same(device):
    one, two = device("phone"), device("tablet")
    one.open()
    page = two.open()
    first = page.locator(TICKS).first.get_attribute("aria-label")
    tick_first(one.page)
    page.wait_for_function(
        f"first => document.querySelector('{TICKS}').getAttribute('aria-label') !== first",
        arg=first,
        timeout=PATIENCE,
    )
    assert "1 of" in page.locator("#head").inner_text()


AWAY = counts(quick=4, landing=10, nightly=10)


@before_landing
def test_ticks_without_a_connection_are_sent_once_and_in_order(device, served):
    one, two = device("phone"), device("tablet")
    page = one.open()
    two.open()
    one.context.set_offline(True)
    order = [op for _, op in served.desk.state().left]
    tick_first(page, AWAY)
    page.wait_for_function(
        f"() => document.getElementById('link-state').textContent.includes('{AWAY} entries wait')"
    )
    assert one.ticked() == []
    one.context.set_offline(False)
    wait_for_ticks(one, AWAY)
    page.wait_for_function("() => !document.getElementById('link-state').textContent", timeout=PATIENCE)
    assert one.ticked() == order[:AWAY]
    assert len([e for e in served.desk.log() if e.event.kind.value == "done"]) == AWAY
    for each in (one.page, two.page):
        each.wait_for_function(
            f"() => document.getElementById('head').innerText.includes('{AWAY} of')", timeout=PATIENCE
        )
    assert (
        one.page.locator("main").inner_text().partition("Just done")[0]
        == two.page.locator("main").inner_text().partition("Just done")[0]
    )


@before_landing
def test_a_reload_without_a_connection_loses_no_tick(device, served):
    phone = device()
    page = phone.open()
    phone.context.set_offline(True)
    tick_first(page, 3)
    phone.context.set_offline(False)
    phone.open("/log")  # another page, opened before the queue was sent: it sends it
    wait_for_ticks(phone, 3)


@before_landing
def test_a_tick_that_the_machine_does_not_allow_is_refused_with_the_reason(device, served):
    phone = device(java_script_enabled=False)
    phone.open("/step/undo%20guard/screws")
    with phone.page.expect_navigation():
        phone.page.get_by_role("button", name="Tick it", exact=True).tap()
    assert "can't be done yet" in phone.page.locator("#complaint").inner_text()
    assert phone.ticked() == []


@before_landing
def test_the_keyboard_alone_does_a_whole_station(device):
    phone = device(has_touch=False, viewport={"width": 820, "height": 1180})
    page = phone.open()
    for done in range(1, 4):
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.matches('.station:not([hidden]) button.tick')"):
                break
        page.keyboard.press("Enter")
        wait_for_ticks(phone, done)
        wait_for_text(page, "head", f"{done} of")


@before_landing
@pytest.mark.parametrize(("path", "scheme"), of_all_paths("light", "dark"))
def test_no_page_has_a_finding_of_accessibility(device, shown, path, scheme):
    from axe_playwright_python.sync_playwright import Axe

    phone = device(served=shown, color_scheme=scheme, bypass_csp=True)
    found = Axe().run(phone.open(path)).response["violations"]
    assert [
        (one["id"], [node["html"] for node in one["nodes"]])
        for one in found
        if one["impact"] in ("serious", "critical")
    ] == []


TOO_SMALL = """() => [...document.querySelectorAll('a, button, input, select, textarea, summary')]
  .filter(e => e.offsetParent && e.type !== 'hidden' && !e.closest('svg') && !e.matches('.skip'))
  .map(e => [e, (e.closest('label.choice') || e).getBoundingClientRect()])
  .filter(([e, r]) => r.height < 44 || r.width < 44)
  .map(([e, r]) => `${e.outerHTML.slice(0, 80)} ${r.width}×${r.height}`)"""
SMALL_TEXT = """() => [...document.querySelectorAll('body *')]
  .filter(e => !e.closest('svg') && [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
  .filter(e => e.offsetParent && parseFloat(getComputedStyle(e).fontSize) < 16)
  .map(e => e.outerHTML.slice(0, 80))"""


@pytest.mark.parametrize(("path", "width"), of_all_paths(360, 820, 1280))
def test_every_target_can_be_hit_every_text_read_and_nothing_runs_out_of_the_screen(
    device, shown, path, width
):
    phone = device(served=shown, viewport={"width": width, "height": 800})
    page = phone.open(path)
    assert page.evaluate(TOO_SMALL) == []
    assert page.evaluate(SMALL_TEXT) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@before_landing
def test_a_page_weighs_less_than_150_kb_without_photos(device, shown):
    page = device(served=shown).page
    for path in PATHS:
        page.goto(f"{shown.url}{path}")
        weight = page.evaluate(
            "() => performance.getEntries().reduce((sum, one) => sum + (one.decodedBodySize || 0), 0)"
        )
        assert 0 < weight < 150_000, path


@before_landing
def test_a_photo_of_a_step_stands_beside_it_and_is_never_a_page(device, served, tmp_path):
    from PIL import Image

    file = tmp_path / "photo.html.jpg"
    Image.new("RGB", (400, 300), "red").save(file, exif=b"")
    phone = device()
    phone.open("/step/undo%20guard/screws").set_input_files("#photo", str(file))
    phone.page.wait_for_selector(".photos img")
    source = phone.page.locator(".photos img").get_attribute("src")
    answer = phone.context.request.get(served.url + source)
    assert answer.headers["content-type"] == "image/jpeg"
    assert "sandbox" in answer.headers["content-security-policy"]
    assert phone.open().locator("li[data-op='undo guard/screws'] .thumb").count() == 1


@pytest.mark.parametrize(
    "path", ["/photo/..%2Fjob.yaml", "/photo/%2e%2e%2fjob.yaml", "/static/..%2Fapp.py", "/photo/x.html"]
)
def test_no_path_leads_out_of_the_folder(device, path, shown):
    answer = device(served=shown).context.request.get(shown.url + path)
    assert answer.status == 404


@before_landing
def test_another_devices_words_are_text(device, served):
    served.desk.note('<img src=x onerror="alert(1)"> & "quotes"', by=By("<i>Eve</i>", "<u>x</u>"))
    page = device().open("/overview")
    assert '<img src=x onerror="alert(1)"> & "quotes"' in page.inner_text("main")
    assert page.locator("main img, main i, main u").count() == 0
    assert "<i>Eve</i>" in device("two").open("/log").inner_text("main")


def tap(page, locator):
    with page.expect_navigation():
        locator.tap()


FIRST_TAPS, LAST_TAPS = counts(quick=(2, 3), landing=(6, 1000), nightly=(6, 1000))
"""So many of a way's first and last steps are tapped; those between them are done at the desk."""


def up_to_the_last_taps(served):
    """Where all is not tapped: up to the last steps, or to the last gate."""
    while len((plan := served.desk.plan()).steps) > LAST_TAPS and len(getattr(plan, "gates", ())) != 1:
        tick_at_the_desk(served.desk)


def test_a_whole_job_by_taps_with_a_discovery_an_undo_and_a_refused_gate(device, served):
    phone = device(java_script_enabled=False)
    page = phone.open()
    tap(page, page.get_by_role("button", name="Begin"))
    for _ in range(FIRST_TAPS):
        tap(page, page.locator(TICKS).first)
    tap(page, page.locator("#undo"))
    assert len(phone.ticked()) == FIRST_TAPS - 1
    discover(page)
    assert "Upper stay" in page.locator(".said").inner_text()
    up_to_the_last_taps(served)
    tick_all(phone.open())
    assert "undo upper-stay/bolts" in phone.ticked()
    tap(page, page.get_by_role("button", name="Turn"))
    up_to_the_last_taps(served)
    refused = tick_all(phone.open(), close_gate)
    assert refused == TOO_MUCH_AT
    assert "All is back" in page.inner_text("main")
    phone.open("/record")
    record = page.inner_text("main")
    assert "open" not in record
    state = served.desk.state()
    assert not state.left


def discover(page):
    """Two taps from a step, a few words, and what holds it."""
    tap(page, page.locator(".station a.more", has_text="In the way").first)
    page.fill("#what", "Upper stay")
    page.fill("#held", "bolt 10 x2")
    tap(page, page.get_by_role("button", name="Plan it in"))


def tick_all(page, gate=None, most=120):
    """Work down the page to the end, a station at a tap where there is one for it; how many gates refused."""
    refused = 0
    for _ in range(most):
        station = page.locator(".station:not([hidden])")
        boxes = station.locator("button.tick, a.tick")
        if not boxes.count():
            return refused
        whole = station.locator("button.tick-all")
        box = whole.first if whole.count() else boxes.first
        if box.evaluate_handle("e => e.tagName").json_value() == "A":
            tap(page, box)
            refused += gate(page, refused < TOO_MUCH_AT)
        else:
            tap(page, box)
        assert not page.locator("#complaint").is_visible(), page.locator("#complaint").inner_text()
    raise AssertionError("there was no end")


TOO_MUCH_AT = counts(quick=1, landing=3, nightly=3)
"""So many gates are told far too much before they are told what they ask for."""


def close_gate(page, too_much):
    """Far too much first, which is refused and says why; then what is asked."""
    asked = page.locator(".gate p").first.inner_text()
    value = re.findall(r"(\d+(?:\.\d+)?) N\.m", asked)[-1]
    if too_much:
        say_all(page)
        page.fill("#value", str(float(value) * 3))
        tap(page, page.get_by_role("button", name="Close the gate"))
        assert "is above what is asked" in page.locator("#complaint").inner_text()
    say_all(page)
    page.fill("#value", value)
    if page.locator("input[name=angle]").count():
        page.locator("input[name=angle]").check()
    tap(page, page.get_by_role("button", name="Close the gate"))
    return too_much


def say_all(page):
    """One reading for every stage and fastener, where there is a choice."""
    for choice in page.locator("select#stages, select#fasteners").all():
        choice.select_option("all")


@before_landing
def test_a_tap_that_bounces_ticks_one_step_only(device):
    phone = device()
    page = phone.open()
    box = page.locator(TICKS).first.bounding_box()
    for _ in range(2):
        page.touchscreen.tap(box["x"] + 20, box["y"] + 20)
    wait_for_text(page, "head", "1 of")
    page.wait_for_timeout(1000)
    assert len(phone.ticked()) == 1


@before_landing
def test_an_undo_without_a_connection_takes_back_the_tick_that_waits(device):
    phone = device()
    page = phone.open()
    tick_first(page)
    wait_for_text(page, "head", "1 of")
    phone.context.set_offline(True)
    tick_first(page)
    page.locator("#undo").tap()
    page.wait_for_function("() => !document.getElementById('link-state').textContent.includes('waits')")
    phone.context.set_offline(False)
    page.wait_for_timeout(1500)
    assert len(phone.ticked()) == 1
