"""The diagram in a real browser: it opens at what is next, can be read, moves with a thumb, and tells."""

import re

import pytest

from sequencer.bench.pages.picture import picture_of
from sequencer.graph.operations import Kind
from tests.bench.conftest import PUMP, VAN, serving
from tests.support.profile import before_landing, counts

IN_VIEW = """() => {
  const box = document.querySelector(".diagram").getBoundingClientRect();
  return [...document.querySelectorAll(".diagram text")].filter(one => one.textContent.trim()).map(one => {
    const at = one.getBoundingClientRect();
    return {
      words: one.textContent,
      inside: at.left >= box.left && at.right <= box.right && at.top >= box.top && at.bottom <= box.bottom,
      size: parseFloat(one.getAttribute("font-size")) * one.getScreenCTM().a,
    };
  });
}"""
VIEW = "() => document.querySelector('.diagram svg').getAttribute('viewBox').split(' ').map(Number)"


VAN_OFF, PUMP_OFF = pytest.param((VAN, "cam-cover"), id="van"), pytest.param((PUMP, "seal"), id="pump")


@pytest.fixture(scope="module", params=counts(quick=[PUMP_OFF], nightly=[VAN_OFF, PUMP_OFF]))
def drawn(request, tmp_path_factory):
    """A job of which a third is done."""
    machine, target = request.param
    folder = tmp_path_factory.mktemp("drawn") / "job"
    with serving(folder, machine, (target,)) as job:
        left = [op for _, op in job.desk.moment().state.left]
        job.desk.done(left[: len(left) // 3])
        yield job


def test_a_job_not_begun_opens_at_the_first_thing_that_moves(served):
    moment = served.desk.moment()
    focus = picture_of(moment).focus
    first = next(step.operation for step in moment.plan.steps if step.operation.kind is not Kind.TASK)
    assert [one.about.name for one in picture_of(moment).told if one.node == focus] == [
        moment.machine.parts[first.part].label
    ]


@before_landing
@pytest.mark.parametrize("width", [360, 1280])
def test_it_opens_with_labels_in_view_and_legible(device, drawn, width):
    page = device(served=drawn, viewport={"width": width, "height": 800}).open("/diagram")
    labels = page.evaluate(IN_VIEW)
    seen = [one for one in labels if one["inside"]]
    assert len(seen) >= (3 if width == 360 else 10), len(labels)
    assert min(one["size"] for one in seen) >= 12
    focus = page.locator(".diagram").get_attribute("data-focus")
    box, part = (page.locator(where).first.bounding_box() for where in (".diagram", f"#{focus}"))
    assert box["x"] <= part["x"] + part["width"] / 2 <= box["x"] + box["width"]
    assert box["y"] <= part["y"] + part["height"] / 2 <= box["y"] + box["height"]
    assert "next" in page.locator(f"#{focus}").text_content()


def test_a_thumb_moves_it_and_a_tap_says_why_a_part_is_in_the_way_and_where_it_is(device, drawn):
    page = device(served=drawn).open("/diagram")
    thumb = page.context.new_cdp_session(page)
    places = [(250, 420), (220, 410), (170, 390), (150, 380)]
    before = page.evaluate(VIEW)
    for kind, (x, y) in zip(("touchStart", *["touchMove"] * 3), places, strict=True):
        thumb.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    thumb.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    after = page.evaluate(VIEW)
    scale = before[2] / page.locator(".diagram svg").bounding_box()["width"]
    assert [after[0] - before[0], after[1] - before[1]] == pytest.approx([100 * scale, 40 * scale], rel=0.1)
    assert page.locator(".about:visible").count() == 0, "a drag is no tap"

    page.get_by_role("button", name="What is next").tap()
    box = page.locator(f"#{page.locator('.diagram').get_attribute('data-focus')} a")
    box.tap(force=True)  # in its middle, where between two words the ground may lie
    told = page.locator(".about:visible")
    assert told.locator("li").first.inner_text() == "Next."
    assert told.evaluate("one => one === document.activeElement")
    sheet, part, bar = told.bounding_box(), box.bounding_box(), page.locator(".always").bounding_box()
    assert part["y"] < sheet["y"], "the box is not under what is said of it"
    assert sheet["y"] + sheet["height"] <= bar["y"] + 1
    page.keyboard.press("Escape")
    assert told.count() == 0
    assert box.evaluate("one => one === document.activeElement")

    view = page.evaluate(VIEW)
    page.locator(".diagram").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("+")
    assert page.evaluate(VIEW)[0] > view[0]
    assert page.evaluate(VIEW)[2] == pytest.approx(view[2] * 0.8)


def test_every_box_is_told_in_words(device, drawn):
    page = device(served=drawn).open("/diagram")
    told = page.locator(".about").evaluate_all("all => all.map(one => one.textContent.replace(/\\s+/g, ' '))")
    titles = page.locator(".diagram g.node > title").all_text_contents()
    assert len(told) == len(set(titles)) >= 4
    moment = drawn.desk.moment()
    off = [op.subject for op in moment.state.done if op.kind is Kind.REMOVE]
    assert sum(bool(re.search(r"\bOff\.", one)) for one in told) == len(off) > 0
    bags = {bag.number for op, bag in moment.bags.items() if Kind.UNDO.of(op) in moment.state.done}
    assert {int(n) for one in told for n in re.findall(r"in bag (\d+)", one)} == bags
    ids = [name for name in moment.machine.parts if "-" in name]
    assert not [name for name in ids for words in (*told, *titles) if name in words]
    assert all("In the way of" in one or "What the job is for" in one for one in told)


def test_all_of_it_shows_every_label(device, drawn):
    page = device(served=drawn, viewport={"width": 1280, "height": 800}).open("/diagram")
    page.get_by_role("button", name="All", exact=True).tap()
    assert all(one["inside"] for one in page.evaluate(IN_VIEW))
