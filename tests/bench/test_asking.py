"""The questions that are worth asking, on a phone: one at a time, by taps, without script."""

import re

import pytest

from sequencer.graph.targets import parse_targets
from sequencer.job.changes.asking import open_questions
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By
from sequencer.machine import load
from sequencer.plan.practice.rules import Practice
from sequencer.plan.teardown import plan_teardown
from tests.bench.conftest import end, serve
from tests.plan.test_asking import ORDER, PRESS
from tests.support.profile import before_landing, counts


@pytest.fixture
def kept(tmp_path):
    """A job on a machine whose order is only kept, on a server of its own."""
    path = tmp_path / "press.yaml"
    path.write_text(f"{PRESS}taken_apart:\n  order: [{', '.join(ORDER)}]\n", "utf-8")
    machine = load(path)
    plan = plan_teardown(machine, parse_targets(machine, ["pump"]), practice=Practice.ALL)
    begin(tmp_path / "job", plan, copied(path), By("Ada", "test"), title="Press")
    job, server, thread = serve(tmp_path / "job")
    yield job
    job.desk.close()
    end(server, thread)


def tap(page, name):
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).tap()


def asked(page):
    return page.locator("#main h2").inner_text()


@before_landing
@pytest.mark.parametrize("script", counts(quick=[False], landing=[False, True], nightly=[False, True]))
def test_the_overview_leads_to_it_and_a_tap_frees_the_order(device, kept, script):
    page = device(served=kept, java_script_enabled=script).open("/overview")
    page.get_by_role("link", name="Questions that save time").tap()
    page.wait_for_url(re.compile("/ask$"))
    assert asked(page).startswith(
        "Was anything that you did from 'front' in the way of anything from 'under'"
    )
    assert "An answer may save 2" in page.inner_text("#main")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    tap(page, "No")
    assert "the order does not matter" in page.inner_text(".said")
    assert asked(page) == "Nothing is worth asking now."
    assert len(kept.desk.machine.taken_apart.free) == 1
    assert open_questions(kept.desk.moment()) == []


@before_landing
def test_what_is_not_known_brings_the_next_question_and_undo_brings_it_back(device, kept):
    page = device(served=kept, java_script_enabled=False).open("/ask")
    first = asked(page)
    tap(page, "Don't know")
    assert asked(page) != first
    assert kept.desk.machine.taken_apart.free == ()
    with page.expect_navigation():
        page.locator("#undo").tap()
    page.goto(f"{kept.url}/ask")
    assert asked(page) == first


@before_landing
def test_those_that_were_in_the_way_are_ticked_and_the_others_are_free(device, kept):
    page = device(served=kept, java_script_enabled=False).open("/ask")
    page.get_by_label("Strap").check()
    page.get_by_label("Guard").check()
    tap(page, "Only these")
    assert "nothing but" in page.inner_text(".said")
    free = [[str(told) for told in one.first] for one in kept.desk.machine.taken_apart.free]
    assert ["strap"] in free


@before_landing
def test_nothing_ticked_and_an_answer_to_another_question_change_nothing(device, kept):
    page = device(served=kept, java_script_enabled=False).open("/ask")
    tap(page, "Only these")
    assert "nothing was answered" in page.inner_text("#complaint").casefold()
    other = device(served=kept, java_script_enabled=False).open("/ask")
    tap(other, "Don't know")
    tap(page, "No")
    assert "no longer asked" in page.inner_text("#complaint")
    assert kept.desk.machine.taken_apart.free == ()
