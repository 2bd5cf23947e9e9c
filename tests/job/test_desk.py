"""The desk: what may be ticked, what is refused and why, two devices, and what is given back."""

import threading
import uuid
from datetime import UTC, datetime, timedelta
from io import BytesIO

import pytest
from PIL import Image

from sequencer.errors import SequencerError
from sequencer.job.desk import By, Desk, RefusedError
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Draft
from sequencer.job.now.choosing import ChoiceError
from tests.job.conftest import ANN, BO, begin_job
from tests.support.profile import before_landing


def numbers(desk):
    return [step.number for step in desk.plan().steps]


@pytest.fixture
def phone(job):
    opened = Desk(job, BO)
    yield opened
    opened.close()


def test_a_new_job_has_the_whole_plan_before_it_under_its_own_numbers(desk):
    assert numbers(desk) == list(range(1, 18))
    assert [step.operation.name for step in desk.station().steps] == ["task isolate"]


def test_done_alone_ticks_the_whole_station(desk):
    desk.done("1-3")
    assert [step.number for step in desk.station().steps] == [4]
    said = desk.done()
    assert said.ops == ("drain water",)
    assert said.words == ("ticked step 4, Drain Water and inhibitor",)


def test_what_is_left_starts_with_the_tool_in_hand_at_the_place_where_the_person_stands(desk):
    desk.done("1-3")
    first = desk.plan().steps[0]
    assert (first.operation.name, first.change_seconds) == ("drain water", 20)  # the walk, and sitting down
    desk.done("4-5")
    assert desk.plan().steps[0].change_seconds == 12  # from wedge to socket, without a step aside


def test_steps_keep_their_numbers_when_they_are_done_out_of_order(desk):
    desk.done("1-4,8")
    assert numbers(desk) == [5, 6, 7, *range(9, 18)]
    assert [step.number for step in desk.station().steps] == [5]


def test_a_step_that_the_machine_does_not_allow_yet_is_refused_with_reason_place_and_remedy(desk):
    with pytest.raises(RefusedError) as said:
        desk.done("9")
    assert "step 9, Undo Outlet pipe: flange, can't be done yet" in said.value.problem
    assert "would spill water" in said.value.problem
    assert "bench-pump.yaml:89" in said.value.problem
    assert "first come steps" in said.value.remedy
    assert desk.state().done == ()


def test_one_refused_step_keeps_the_others_of_the_same_tick_out(desk):
    with pytest.raises(RefusedError, match="step 9"):
        desk.done("1-3,9")
    assert desk.state().done == ()


def test_what_is_really_done_can_be_said_with_a_reason_that_stays(desk):
    desk.done("9", anyway="it had been left open")
    assert desk.state().ticks["undo outlet-pipe/flange"].anyway == "it had been left open"
    assert 9 not in numbers(desk)


def test_an_operation_beside_the_plan_is_ticked_by_name(desk):
    desk.done("1-3")
    said = desk.done("undo motor/plug")
    assert said.words == ("ticked Undo Motor: plug",)
    assert numbers(desk) == list(range(4, 18))


@before_landing
@pytest.mark.parametrize(
    ("selection", "message"),
    [
        ("18", "there is no step 18; the steps are 1 to 17"),
        ("0", "there is no step 0"),
        ("6-3", "6-3 runs from 6 to 3; write 3-6"),
        ("3-99999", "runs from 3 to 99999"),
        ("remove gaurd", "did you mean 'remove guard'"),
        ("", "no step was named"),
        (";;", "give numbers like 3-6"),
    ],
)
def test_steps_that_nobody_can_tell_are_refused(desk, selection, message):
    with pytest.raises(ChoiceError, match=message):
        desk.done(selection)


def test_steps_are_named_in_several_ways(desk):
    assert desk.done("1, 2-3").ops == ("task isolate", "undo guard/screws", "remove guard")
    assert desk.done("water").ops == ("drain water",)
    assert desk.done(["task wedge", "slacken motor/feet"]).ops == ("task wedge", "slacken motor/feet")
    assert desk.done(7).ops == ("loosen motor",)


def test_a_step_that_is_ticked_already_is_told_and_stays_the_first_ones(desk, phone):
    desk.done("1")
    said = phone.done("1-3")
    assert said.ops == ("undo guard/screws", "remove guard")
    assert said.words[1].startswith(
        "step 1, Isolate the supply; lock it; prove it dead, was ticked already by Ann at "
    )
    assert phone.done("1").events == ()
    assert desk.state().ticks["task isolate"].person == "Ann"


def test_of_two_writers_at_the_same_moment_one_ticks_and_the_other_is_told(job):
    desks = [Desk(job, By(f"p{number}", f"d{number}")) for number in range(6)]
    said, start = [], threading.Barrier(len(desks))

    def tick(desk):
        start.wait()
        said.append(desk.done("1"))

    threads = [threading.Thread(target=tick, args=(desk,)) for desk in desks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(len(one.events) for one in said) == [0] * 5 + [1]
    assert sum("was ticked already by p" in one.words[0] for one in said) == 5
    assert len(desks[0].state().of(EventKind.DONE)) == 1
    for desk in desks:
        desk.close()


def test_the_same_act_sent_twice_is_done_once(desk):
    by = By("Bo", "phone", id=str(uuid.uuid4()))
    first = desk.done("1", torque="9 N.m", by=by)
    again = desk.done("1", torque="9 N.m", by=by)
    assert (len(first.events), again.repeated, again.events) == (2, True, (by.id,))
    assert len(desk.state().of(EventKind.MEASURED)) == 1


def test_a_whole_station_is_not_ticked_blindly_after_somebody_elses_tick(desk, phone):
    desk.done("1")
    with pytest.raises(RefusedError, match=r"the last tick came from laptop \(Ann\).*done 2"):
        phone.done()
    phone.done("2")
    assert phone.done().ops == ("remove guard",)


def test_undo_takes_back_this_devices_last_act_only(desk, phone):
    desk.done("1")
    phone.done("2")
    with pytest.raises(RefusedError, match="step 2, Undo Belt guard: screws, rests on it"):
        desk.undo()
    phone.undo()
    assert desk.undo().words == ("taken back: done step 1, Isolate the supply; lock it; prove it dead",)
    with pytest.raises(RefusedError, match="this device has done nothing"):
        desk.undo()


def test_one_step_of_a_tick_is_given_back_by_its_number(desk):
    desk.done("1-4")
    desk.undo(4)
    assert desk.state().done == ("task isolate", "undo guard/screws", "remove guard")
    assert numbers(desk)[0] == 4
    again = desk.undo("9")  # as a second tap asks for it
    assert again.words == ("step 9, Undo Outlet pipe: flange, is not ticked; nothing was taken back",)
    assert again.events == ()


def test_an_event_is_given_back_by_the_beginning_of_its_id(desk):
    tick = desk.done("1").events[0]
    desk.note("a note")
    desk.undo(tick[:8])
    assert desk.state().done == ()
    with pytest.raises(RefusedError, match="no event that stands begins with"):
        desk.undo(tick[:8])


def test_step_numbers_of_four_digits_are_numbers_and_ids_are_longer(desk):
    steps = [[1200, "task isolate"], [1201, "undo guard/screws"]]
    desk.write(lambda *_: Draft([(EventKind.CHANGED, {"steps": steps, "why": "renumbered"})]))
    desk.done("1200-1201")
    desk.undo("1201")
    assert desk.state().done == ("task isolate",)
    all_digits = By("Ann", "laptop", id="12345678-0000-4000-8000-000000000000")
    desk.done("1201", by=all_digits)
    desk.undo("12345678")
    assert desk.state().done == ("task isolate",)


def test_a_skipped_step_counts_as_clear_and_its_reason_is_kept(desk):
    desk.done("1-3")
    said = desk.skip("4", "was dry")
    assert said.words == ("skipped step 4, Drain Water and inhibitor: was dry",)
    desk.done("9")
    with pytest.raises(RefusedError, match="a step is skipped for a reason"):
        desk.skip("5", "  ")


def test_skipping_is_given_back_like_anything_else(desk):
    desk.skip("1", "the supply is off the wall")
    desk.undo("1")
    assert numbers(desk)[0] == 1


def test_the_clock_starts_stops_and_goes_on(desk):
    assert desk.resume().words == ("clock started",)
    assert desk.resume().words == ("the clock is running already",)
    assert desk.stop("lunch").words == ("stopped",)
    assert desk.stop().words == ("the clock is stopped already",)
    assert "the clock was stopped" in desk.done("1").words[1]
    kinds = [one.event.kind for one in desk.log()][2:]
    assert kinds == [EventKind.STARTED, EventKind.STOPPED, EventKind.DONE]


def test_a_clock_that_is_ahead_is_told_and_not_taken(desk):
    began = datetime.now(UTC)
    desk.resume()
    tomorrow = By("Ann", "phone", began + timedelta(days=1))
    said = desk.done([desk.state().left[0][1]], by=tomorrow)
    assert "the clock of phone is 24 h ahead: this counts as said now" in said.words
    (tick,) = desk.state().ticks.values()
    assert began <= tick.time <= datetime.now(UTC)
    assert desk.state().worked < 60


def test_a_clock_that_is_a_little_ahead_is_no_matter(desk):
    soon = By("Ann", "phone", datetime.now(UTC) + timedelta(seconds=20))
    said = desk.note("worn", by=soon)
    assert said.words == ("noted",)
    assert desk.log()[-1].event.time <= datetime.now(UTC)


def test_a_clock_that_was_set_back_is_told(desk):
    now = datetime.now(UTC)
    desk.done("1", by=By("Ann", "laptop", now))
    said = desk.done("2", by=By("Ann", "laptop", now - timedelta(hours=1)))
    assert said.words[-1] == (
        "the clock of laptop went back by 3600 s: the time since its last event is not counted"
    )


def test_a_clock_that_ran_all_night_is_told(desk):
    evening = datetime.now(UTC) - timedelta(hours=16)
    desk.resume(by=By("Ann", "laptop", evening))
    said = desk.done("1", by=By("Ann", "laptop", evening + timedelta(hours=14)))
    assert (
        said.words[1] == "the clock ran for 14 h before this: a forgotten stop does not count for your pace"
    )
    assert len(desk.done("2", by=By("Ann", "laptop", evening + timedelta(hours=15))).words) == 1


def test_readings_are_kept_with_the_step(desk):
    desk.done("1", torque="9 N.m", wear="0.2 mm")
    (reading,) = desk.state().of(EventKind.MEASURED)
    assert {"op": "task isolate", "torque": "9 N.m", "wear": "0.2 mm"}.items() <= reading.event.body.items()
    with pytest.raises(SequencerError, match="torque"):
        desk.done("2", torque="nine")
    assert desk.state().done == ("task isolate",)


@before_landing
def test_a_photo_is_kept_small_and_with_nothing_but_its_picture(desk, job):
    picture = Image.new("RGB", (3000, 2000), "red")
    exif = Image.Exif()
    exif[0x010F] = "a maker of cameras"
    content = BytesIO()
    picture.save(content, "JPEG", exif=exif)
    desk.photo("1", content.getvalue(), "before")
    (kept,) = desk.state().of(EventKind.PHOTO)
    with Image.open(job.photos / kept.event.body["file"]) as again:
        assert (again.size, dict(again.getexif())) == ((1600, 1067), {})
    with pytest.raises(SequencerError, match="this photo can't be read"):
        desk.photo(None, b"<html>")
    assert len(list(job.photos.iterdir())) == 1


def test_all_devices_see_the_same_state(desk, phone):
    desk.done("1-3")
    phone.done("4-5")
    desk.note("x", "9")
    assert desk.state().ticks == phone.state().ticks
    assert desk.state().seq == phone.state().seq


def test_the_machine_file_is_read_anew_when_it_has_changed(desk, job):
    text = job.machine.read_text(encoding="utf-8")
    job.machine.write_text(text.replace("label: Belt guard", "label: Guard of the belt"), encoding="utf-8")
    assert desk.machine.parts["guard"].label == "Guard of the belt"
    job.machine.write_text(text.replace("guard", "hood"), encoding="utf-8")
    assert [step.operation.name for step in desk.plan().steps][1] == "undo hood/screws"
    assert desk.state().of(EventKind.CHANGED)[-1].event.body["why"] == "the machine file was changed"
    job.machine.unlink()
    with pytest.raises(SequencerError, match="put this job's copy of the machine file back"):
        desk.done()


@before_landing
def test_a_whole_teardown_goes_station_by_station_to_its_end(desk):
    desk.resume()
    ticked = 0
    while desk.station() is not None:
        ticked += len(desk.done().ops)
    assert ticked == 17
    with pytest.raises(RefusedError, match="nothing left to tick"):
        desk.done()


@before_landing
def test_a_job_lives_in_either_database(tmp_path, database):
    job = begin_job(tmp_path / "job", database=database)
    one, two = Desk(job, ANN), Desk(job, BO)
    one.done("1-3")
    two.done("4")
    two.undo()
    assert one.state().ticks == two.state().ticks
    assert one.state().done == ("task isolate", "undo guard/screws", "remove guard")
    one.close()
    two.close()
