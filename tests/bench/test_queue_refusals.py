"""What a person reads, and what is kept, when something that waited on the device is not taken."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from sequencer.bench.serve import serve_survey
from sequencer.errors import SequencerError
from sequencer.job.desk import By
from tests.bench.conftest import PATIENCE
from tests.bench.test_page import TICKS, tick_first, wait_for_ticks
from tests.support.profile import before_landing


@before_landing
def test_a_refusal_stays_to_be_read_while_the_rest_of_the_queue_is_sent(device, served):
    phone = device()
    page = phone.open()
    phone.context.set_offline(True)
    page.evaluate(
        """() => {
          const key = `sequencer-queue-${document.body.dataset.job}`;
          const entry = (id, op) => ({ id, url: "/tick", fields: [["op", op], ["id", id]] });
          localStorage.setItem(key, JSON.stringify([
            entry("00000000-0000-4000-8000-000000000001", "remove seal"),
            entry("00000000-0000-4000-8000-000000000002", "task isolate"),
          ]));
        }"""
    )
    phone.context.set_offline(False)
    wait_for_ticks(phone, 1)
    page.wait_for_function("() => !document.getElementById('link-state').textContent")
    text = page.inner_text("#kept")
    assert "can't be done yet" in text
    assert "--anyway" not in text


def refuse_next(served, monkeypatch, times, code):
    """The desk refuses the next ticks, as when two devices write at the same moment."""
    truly, left = type(served.desk).done, [times]

    def done(self, *args, **kwargs):
        if left[0] > 0:
            left[0] -= 1
            raise SequencerError("the file was changed by someone else", "do it again", code=code)
        return truly(self, *args, **kwargs)

    monkeypatch.setattr(type(served.desk), "done", done)


def kept(page):
    return page.evaluate(
        "JSON.parse(localStorage.getItem(`sequencer-queue-${document.body.dataset.job}`)) || []"
    )


@before_landing
def test_a_tick_that_met_another_device_at_the_same_moment_is_sent_again(device, served, monkeypatch):
    refuse_next(served, monkeypatch, 2, "race")
    phone = device()
    page = phone.open()
    page.locator(TICKS).first.tap()
    wait_for_ticks(phone, 1)
    page.wait_for_function("() => !document.getElementById('link-state').textContent")
    assert kept(page) == []
    assert page.locator("#kept").is_hidden()


@before_landing
def test_a_refused_tick_stays_over_a_reload_until_its_person_tries_it_again(device, served, monkeypatch):
    refuse_next(served, monkeypatch, 1, "")
    phone = device()
    page = phone.open()
    page.locator(TICKS).first.tap()
    page.locator("#kept").wait_for()
    assert "changed by someone else" in page.inner_text("#kept")
    phone.open()
    page.locator("#kept").wait_for()
    assert len(kept(page)) == 1
    page.get_by_role("button", name="Try again").tap()
    wait_for_ticks(phone, 1)
    page.locator("#kept").wait_for(state="hidden")
    assert kept(page) == []


@before_landing
def test_a_refused_entry_goes_when_its_person_discards_it(device, served, monkeypatch):
    refuse_next(served, monkeypatch, 1, "")
    phone = device()
    page = phone.open()
    page.locator(TICKS).first.tap()
    page.get_by_role("button", name="Discard").tap()
    assert page.locator("#kept").is_hidden()
    assert kept(page) == []
    assert phone.ticked() == []


@before_landing
def test_an_undo_of_what_was_refused_takes_back_nothing_else(device, served, monkeypatch):
    phone = device()
    page = phone.open()
    tick_first(page)
    wait_for_ticks(phone, 1)

    def note(*_args, **_kwargs):
        raise SequencerError("the disk is full", "make room")

    monkeypatch.setattr(type(served.desk), "note", note)
    phone.context.set_offline(True)
    page.get_by_text("Note or photo of the job").tap()
    page.fill("#note", "the left one is worn")
    page.get_by_role("button", name="Keep the note").tap()
    page.locator("#undo").tap()
    phone.context.set_offline(False)
    page.wait_for_function("() => document.querySelectorAll('#kept li').length === 2")
    assert "Note: the left one is worn" in page.inner_text("#kept")
    assert len(phone.ticked()) == 1


@before_landing
def test_a_page_that_is_out_of_date_drops_no_tick(device):
    phone = device()
    page = phone.open()
    page.evaluate("document.body.dataset.csrf = 'stale'")
    page.locator(TICKS).first.tap()
    page.wait_for_function("() => document.getElementById('complaint').textContent.includes('out of date')")
    assert phone.ticked() == []
    phone.open()
    wait_for_ticks(phone, 1)


@before_landing
def test_a_device_that_was_sent_away_is_told_so(device, served):
    phone = device()
    page = phone.open()
    page.wait_for_timeout(300)
    for one in served.sessions.devices():
        served.sessions.end(one)
    page.wait_for_function(
        "() => document.getElementById('complaint').textContent.includes('no longer paired')",
        timeout=PATIENCE,
    )


@before_landing
def test_a_phones_wrong_clock_does_not_reach_the_journal(device, served):
    phone = device()
    phone.at_the_start("const now = Date.now; Date.now = () => now() + 86400000;")
    tick_first(phone.open())
    wait_for_ticks(phone, 1)
    (tick,) = served.desk.state().ticks.values()
    assert abs(tick.time - datetime.now(UTC)) < timedelta(minutes=1)


@before_landing
def test_a_form_that_needs_the_connection_says_so_and_keeps_what_was_put_in(device):
    phone = device()
    page = phone.open("/found?op=undo%20guard/screws")
    page.fill("#what", "Upper stay")
    phone.context.set_offline(True)
    page.get_by_role("button", name="Plan it in").tap()
    page.wait_for_function("() => document.getElementById('complaint').textContent.includes('not sent')")
    assert page.input_value("#what") == "Upper stay"


@before_landing
def test_a_reading_with_a_decimal_comma_is_taken(device, served):
    for _, op in served.desk.state().left:
        served.desk.done([op], by=By("Ada", "test"))
    served.desk.turn(by=By("Ada", "test"))
    for _, op in served.desk.state().left:
        if op.startswith("torque "):
            break
        served.desk.done([op], by=By("Ada", "test"))
    page = device().open(f"/gate/{op}")
    value = re.findall(r"(\d+) N\.m", page.locator(".gate p").first.inner_text())[-1]
    page.fill("#value", f"{value},0")
    with page.expect_navigation():
        page.get_by_role("button", name="Close the gate").tap()
    assert op in served.desk.state().ticks
    gone = device("other").open(f"/gate/{op}")
    assert "/step/" in gone.url


def test_a_machine_file_that_was_broken_by_hand_is_a_page_that_says_where(device, served):
    file = served.desk.folder.machine
    whole = file.read_text(encoding="utf-8")
    file.write_text(whole.replace("parts:", "parts: [", 1), encoding="utf-8")
    page = device().open()
    assert "a fault in line 54: a bracket is opened and not closed" in page.inner_text(".refused")
    file.write_text(whole, encoding="utf-8")
    page.reload()
    page.wait_for_selector(TICKS)


def test_a_machine_in_a_folder_that_is_not_there_is_refused_before_anything_is_served(tmp_path):
    with pytest.raises(SequencerError, match="there is no folder"):
        serve_survey(tmp_path / "none" / "van.yaml", print, port=1)
