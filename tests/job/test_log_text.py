"""What the journal says of each event, in words; and chapters of both ways."""

from datetime import UTC, date, datetime, timedelta

from sequencer.document.jobs.log_lines import event_text
from sequencer.job.changes.finds import Find
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import By, Draft
from sequencer.job.reports.chapters import chapters
from tests.support.profile import before_landing

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
ON = date(2026, 11, 25)


def at(minute):
    return By("Ann", "laptop", START + timedelta(minutes=minute))


def texts(desk, kind):
    moment = desk.moment()
    known = {one.event.id: one.event for one in desk.log()}
    return [event_text(moment, one.event, known) for one in desk.log() if one.event.kind is kind]


@before_landing
def test_discoveries_are_told_in_words_and_not_as_lines_of_a_file(desk):
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",), note="rusty"), ON)
    desk.trouble("cover/bolts", "seized", ON)
    desk.also(["belt"], ["motor/feet"])
    assert texts(desk, EventKind.FOUND) == ["upper stay; rusty"]
    assert texts(desk, EventKind.TROUBLE) == ["cover/bolts seized; way out: penetrant"]
    assert texts(desk, EventKind.TARGET) == ["belt off, motor/feet within reach"]


def test_steps_of_the_way_back_are_told_like_those_of_the_way_in(desk):
    desk.done([step.operation.name for step in desk.plan().steps])
    desk.turn()
    desk.done("18-19")
    assert texts(desk, EventKind.DONE)[-1] == "18 Fit Impeller; 19 Fasten Impeller: nut"


def test_a_film_of_the_way_back_has_chapters_too(desk):
    desk.resume(by=at(0))
    desk.done([step.operation.name for step in desk.plan().steps], by=at(20))
    desk.turn(by=at(21))
    desk.done("18", by=at(23))
    desk.done("19", by=at(25))
    found = chapters(desk.moment(), START)
    assert [(chapter.start, chapter.ops) for chapter in found][-1] == (
        timedelta(minutes=23), ("fasten impeller/nut",),
    )  # fmt: skip
    assert found[-2].ops[-1] == "fit impeller"


@before_landing
def test_trouble_that_is_in_nobodys_way_says_that_no_step_comes_of_it(desk):
    steps = desk.state().left
    said = desk.trouble("pulley/bolts", "seized", ON)
    assert any("nothing that is left to do needs pulley/bolts undone" in word for word in said.words)
    assert desk.state().left == steps
    needed = desk.trouble("cover/bolts", "seized", ON)
    assert not any("nothing that is left" in word for word in needed.words)


def test_who_ticked_first_is_told_with_the_day_when_that_was_another(desk):
    long_ago = datetime.now(UTC) - timedelta(days=10)
    desk.done("1", by=By("Ann", "laptop", long_ago))
    said = desk.done("1", by=By("Bo", "phone"))
    assert f"by Ann on {long_ago.astimezone():%Y-%m-%d} at {long_ago.astimezone():%H:%M}" in said.words[0]
    desk.done("2", by=By("Ann", "laptop"))
    assert " on " not in desk.done("2", by=By("Bo", "phone")).words[0]


def test_what_was_taken_back_is_told_in_words(desk):
    desk.done("1-2")
    desk.undo(2)
    note = desk.note("the long bolt is at the top").events[0]
    desk.undo(note[:8])
    assert texts(desk, EventKind.UNDONE) == [
        "done 2 Undo Belt guard: screws",
        "note the long bolt is at the top",
    ]
    desk.write(lambda *_: Draft([(EventKind.UNDONE, {"event": "00000000-0000-4000-8000-000000000000"})]))
    assert texts(desk, EventKind.UNDONE)[-1] == "something that this journal does not have"
