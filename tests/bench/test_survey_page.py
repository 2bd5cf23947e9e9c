"""Describing a machine from the page: a tap or a line an answer, and an ordinary machine file at the end."""

import pytest

from sequencer.machine import load
from tests.support.profile import before_landing


def tap(page, locator):
    with page.expect_navigation():
        locator.tap()


def answer(page, text):
    page.fill("#text", text)
    tap(page, page.get_by_role("button", name="Answer", exact=True))


@pytest.fixture
def phone(device, described):
    return device(served=described)


def test_a_machine_is_described_by_taps_and_lines_into_an_ordinary_file(phone, described):
    page = phone.open()
    for _ in range(80):
        if "Everything is answered" in page.inner_text("main"):
            break
        reply = REPLIES.get(page.locator("#q").inner_text())
        choices = page.locator("form .row button[name=choice]")
        if reply is not None:
            answer(page, reply)
        else:
            usual = choices.filter(has_text="nothing").or_(choices.filter(has_text="no"))
            tap(page, usual.first if usual.count() else choices.last)
        assert "not understood" not in page.inner_text("body")
    tap(page, page.get_by_role("button", name="Write the file"))
    machine = load(described.folder / "van.yaml")
    assert "lid" in machine.parts
    assert [joint.count for joint in machine.parts["lid"].joints.values()] == [4]


REPLIES = {
    "What machine is it?": "Invented box <b>",
    "What do you want off?": "lid",
    "What holds the lid?": "4 screws T25",
    "From where do you work at the lid?": "at the bench",
}


@before_landing
def test_an_answer_is_taken_back_and_one_that_makes_no_sense_changes_nothing(phone, described):
    page = phone.open()
    answer(page, "Invented box")
    answer(page, "lid")
    before = page.locator(".head p").inner_text()
    answer(page, "")
    assert page.locator(".said").inner_text()
    assert page.locator(".head p").inner_text() == before
    tap(page, page.get_by_role("button", name="Take back"))
    assert page.locator(".head p").inner_text().startswith("1 answered")


@before_landing
def test_open_questions_are_taken_in_any_order_and_kept_when_put_off(phone):
    page = phone.open()
    answer(page, "Invented box")
    answer(page, "lid")
    tap(page, page.get_by_role("button", name="Don't know yet"))
    page.locator("summary", has_text="open questions").tap()
    tap(page, page.locator("details").first.locator("a").last)
    assert page.locator("#q").inner_text()


@before_landing
def test_an_old_answer_is_changed_and_what_came_after_it_is_kept(phone, described):
    page = phone.open()
    for text in ("Invented box", "lid", "4 screws T25", "at the bench"):
        answer(page, text)
    page.get_by_text("Change an answer").tap()
    tap(page, page.get_by_role("link", name="What holds the lid?"))
    assert "So far: 4 screws T25." in page.inner_text("main")
    answer(page, "none, 2 clips")
    assert "So far: 4 screws T25." in page.inner_text("main")
    answer(page, "6 screws T20")
    assert page.locator(".said").inner_text() == "Held by 6 screws (T20 bit)"
    assert page.locator("#q").inner_text() == "What is in the way of reaching the lid?"
    tap(page, page.get_by_role("button", name="Take back"))
    tap(page, page.get_by_role("button", name="Write the file"))
    assert load(described.folder / "van.yaml").parts["lid"].joints["screws"].count == 4
