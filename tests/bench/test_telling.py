"""The line that says what was done, on a phone: read back, asked, answered, taken back, without script."""

import pytest

from sequencer.job.desk import RefusedError
from sequencer.job.journal.events import EventKind
from tests.bench.conftest import end, serve
from tests.bench.test_page import wait_for_text
from tests.job.told.at_a_bare_job import bare_job, order
from tests.support.profile import before_landing, counts


@pytest.fixture
def bare(tmp_path):
    """A job without a file, on a server of its own."""
    bare_job(tmp_path / "job")
    job, server, thread = serve(tmp_path / "job")
    yield job
    job.desk.close()
    end(server, thread)


def tell(page, line):
    page.fill("#line", line)
    page.get_by_role("button", name="Say it", exact=True).tap()


def test_the_first_act_takes_one_line_and_one_tap(device, bare):
    page = device(served=bare).open()
    tell(page, "chain guard off, 3 screws PH2")
    wait_for_text(page, "main", "Bag 1.")
    assert order(bare.desk) == ["chain-guard"]
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


@before_landing
def test_from_the_invitation_to_the_first_act_are_two_taps_and_a_line(device, bare):
    phone = device(served=bare, paired=False)
    phone.page.goto(bare.invite())
    phone.page.get_by_role("button", name="Pair this device").tap()
    tell(phone.page, "chain guard off, 3 screws PH2")
    wait_for_text(phone.page, "main", "Bag 1.")
    assert order(bare.desk) == ["chain-guard"]


@before_landing
def test_the_question_has_buttons_and_the_answer_is_taken(device, bare):
    page = device(served=bare).open()
    tell(page, "oil cooler aside, 2 nuts 10")
    wait_for_text(page, "main", "in the way of?")
    page.get_by_role("button", name="Cylinder head", exact=True).tap()
    wait_for_text(page, "main", "It was in the way of the cylinder head.")
    assert bare.desk.machine.parts["cylinder-head"].under("behind")
    page.get_by_role("button", name="Take back what was told last").tap()
    page.wait_for_function("() => !document.body.textContent.includes('in the way of the cylinder')")
    assert not bare.desk.machine.parts["cylinder-head"].under("behind")


@before_landing
def test_by_one_tap_a_line_is_only_a_note(device, bare):
    page = device(served=bare).open()
    tell(page, "sump off bar the two front bolts")
    wait_for_text(page, "main", "You said")
    page.get_by_role("button", name="Only a note", exact=True).tap()
    wait_for_text(page, "main", "Note: sump off bar the two front bolts.")
    assert not bare.desk.state().done


@pytest.mark.parametrize("script", counts(quick=[False], landing=[False, True], nightly=[False, True]))
def test_it_works_by_forms_alone(device, bare, script):
    page = device(served=bare, java_script_enabled=script).open()
    tell(page, "cover off, 2 nuts")
    page.get_by_text("Bag 1.").first.wait_for()
    tell(page, "no, 10")
    page.get_by_role("button", name="size 10").tap()
    page.get_by_text("10 mm socket").first.wait_for()
    assert bare.desk.machine.parts["cover"].joints["nuts"].head == "10"


@before_landing
def test_what_was_done_before_is_told_with_a_tick(device, bare):
    page = device(served=bare).open()
    tell(page, "cover off")
    wait_for_text(page, "main", "Cover off.")
    page.get_by_label("It was done before I began telling").check()
    tell(page, "bonnet off")
    wait_for_text(page, "main", "Bonnet off.")
    assert order(bare.desk) == ["bonnet", "cover"]
    page.get_by_text("Something else has to come off too").tap()
    page.get_by_label("What else").fill("water pump")
    page.get_by_role("button", name="Add it").tap()
    wait_for_text(page, "main", "Wanted: Cylinder head off, Water pump off.")


def test_a_line_that_was_told_without_a_connection_is_sent_later(device, bare):
    phone = device(served=bare)
    page = phone.open()
    phone.context.set_offline(True)
    tell(page, "cover off, 4 screws T20")
    wait_for_text(page, "link-state", "1")
    assert order(bare.desk) == []
    phone.context.set_offline(False)
    wait_for_text(page, "main", "Cover off: 4 screws")
    assert order(bare.desk) == ["cover"]


@before_landing
def test_a_job_with_a_file_has_the_line_after_its_station(device, served):
    page = device().open()
    tell(page, "guard off")
    wait_for_text(page, "main", "Belt guard off.")
    assert "remove guard" in served.desk.state().ticks


def test_a_question_is_answered_once(bare):
    said = bare.desk.did("oil cooler aside, 2 nuts 10")
    bare.desk.did("cover off")
    with pytest.raises(RefusedError, match="told since"):
        bare.desk.answer("the fan shroud", asked_by=said.events[0])
    assert len(bare.desk.state().of(EventKind.DID)) == 2
