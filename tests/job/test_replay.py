"""State is replayed from events: ticks, undos, times, clocks that jump, and how fast it goes."""

import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sequencer.job.journal.events import Event, EventKind, Recorded
from sequencer.job.journal.journal import Journal
from sequencer.job.journal.replay import Replay
from tests.support.measure import growth
from tests.support.profile import before_landing, counts

START = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
PLAN = {"steps": [[1, "undo a/x"], [2, "remove a"], [3, "undo b/x"], [4, "remove b"]]}


class Story:
    """Events one after the other, minutes after the start of the job."""

    def __init__(self):
        self.events = []
        self.tell(0, EventKind.CHANGED, **PLAN)

    def tell(self, minute, kind, person="Ann", device="laptop", **body):
        event = Event(kind, body, person, device, START + timedelta(minutes=minute), str(uuid.uuid4()))
        self.events.append(Recorded(len(self.events) + 1, event, START))
        return event.id

    def done(self, minute, *ops, **more):
        return self.tell(minute, EventKind.DONE, ops=list(ops), **more)

    def undone(self, minute, event, *ops):
        return self.tell(minute, EventKind.UNDONE, event=event, **({"ops": list(ops)} if ops else {}))

    @property
    def state(self):
        """Replayed at once, and event by event: both have to come to the same."""
        whole, piecemeal = Replay(), Replay()
        whole.take(self.events)
        for one in self.events:
            piecemeal.take([one])
        assert whole.state() == piecemeal.state()
        return whole.state()


@pytest.fixture
def story():
    return Story()


def minutes(state):
    return [None if spell.seconds is None else spell.seconds / 60 for spell in state.spells]


def test_ticks_are_kept_in_the_order_in_which_they_were_made(story):
    story.tell(0, EventKind.STARTED)
    story.done(3, "undo b/x")
    story.done(5, "undo a/x", "remove a")
    assert story.state.done == ("undo b/x", "undo a/x", "remove a")
    assert story.state.left == ((4, "remove b"),)
    assert story.state.ticks["remove a"].number == 2


def test_a_step_that_is_ticked_twice_is_ticked_once_by_the_first(story):
    story.done(1, "undo a/x")
    story.done(2, "undo a/x", person="Bo", device="phone")
    assert story.state.ticks["undo a/x"].person == "Ann"
    assert len(story.state.spells) == 1


def test_an_undo_takes_back_the_event_and_what_came_along_with_it(story):
    tick = story.done(1, "undo a/x")
    story.tell(1, EventKind.MEASURED, op="undo a/x", torque="9 N.m", **{"with": tick})
    story.undone(2, tick)
    assert story.state.done == ()
    assert story.state.of(EventKind.MEASURED) == ()


def test_an_undo_of_one_step_leaves_the_others_of_its_tick(story):
    tick = story.done(1, "undo a/x", "remove a", "undo b/x")
    story.undone(2, tick, "remove a")
    assert story.state.done == ("undo a/x", "undo b/x")
    story.undone(3, tick, "undo b/x")
    assert story.state.done == ("undo a/x",)
    story.undone(4, tick, "undo a/x")
    assert story.state.done == ()
    assert story.state.of(EventKind.DONE) == ()


def test_an_undo_that_is_taken_back_does_nothing(story):
    tick = story.done(1, "undo a/x")
    undo = story.undone(2, tick)
    story.undone(3, undo)
    assert story.state.done == ("undo a/x",)


def test_a_step_given_back_after_a_new_plan_stands_again_where_the_new_plan_has_it(story):
    tick = story.done(1, "undo a/x")
    story.tell(2, EventKind.CHANGED, steps=[[1, "undo a/x"], [2, "undo c/x"], [3, "remove a"]])
    assert story.state.left == ((2, "undo c/x"), (3, "remove a"))
    story.undone(3, tick)
    assert story.state.left == ((1, "undo a/x"), (2, "undo c/x"), (3, "remove a"))


def test_a_skipped_step_is_neither_left_nor_done_until_it_is_really_done(story):
    story.tell(1, EventKind.SKIPPED, ops=["undo a/x"], why="was missing")
    assert story.state.left[0] == (2, "remove a")
    assert (story.state.done, story.state.skipped["undo a/x"].why) == ((), "was missing")
    story.done(2, "undo a/x")
    assert (story.state.done, dict(story.state.skipped)) == (("undo a/x",), {})


def test_times_run_from_tick_to_tick_and_breaks_are_left_out(story):
    story.tell(0, EventKind.STARTED)
    story.done(3, "undo a/x")
    story.tell(5, EventKind.STOPPED)
    story.tell(5 + 10 * 24 * 60, EventKind.RESUMED)
    story.done(5 + 10 * 24 * 60 + 4, "remove a")
    assert minutes(story.state) == [3, 4]
    assert story.state.worked == (5 + 4) * 60


def test_two_people_at_once_have_times_of_their_own(story):
    story.tell(0, EventKind.STARTED)
    story.done(3, "undo a/x", person="Ann")
    story.done(4, "undo b/x", person="Bo", device="phone")
    story.done(9, "remove a", person="Ann")
    assert minutes(story.state) == [3, 4, 6]


def test_without_a_start_the_first_time_is_not_known_and_the_clock_runs_from_there(story):
    story.done(3, "undo a/x")
    story.done(5, "remove a")
    assert minutes(story.state) == [None, 2]
    assert story.state.worked == 120


def test_a_clock_that_jumps_back_gives_no_negative_time_and_is_told(story):
    story.tell(0, EventKind.STARTED)
    story.done(10, "undo a/x")
    story.done(4, "remove a")
    story.done(6, "undo b/x")
    assert minutes(story.state) == [10, None, 2]
    assert [gone.seconds for gone in story.state.backward] == [360]
    assert story.state.worked >= 0


def test_a_tick_that_a_device_kept_since_before_the_stop_does_not_start_the_clock(story):
    story.tell(0, EventKind.STARTED)
    story.tell(9, EventKind.STOPPED)
    story.done(8, "undo a/x", person="Bo", device="phone")
    assert story.state.running is None
    assert story.state.done == ("undo a/x",)


def test_other_devices_clocks_are_not_held_against_one_another(story):
    story.tell(0, EventKind.STARTED)
    story.done(10, "undo a/x")
    story.done(7, "undo b/x", person="Bo", device="phone")
    assert story.state.backward == ()


ACTS = st.lists(
    st.tuples(
        st.sampled_from(
            ["done", "skipped", "undone", "part undone", "stopped", "resumed", "note", "changed"]
        ),
        st.integers(0, 3),
        st.integers(-90, 90),
        st.sampled_from(["Ann", "Bo"]),
    ),
    max_size=30,
)


@given(ACTS)
@settings(max_examples=counts(quick=15, landing=25, nightly=5000))
def test_whatever_happens_no_time_is_negative_and_every_step_is_in_one_place(acts):
    story = Story()
    ops = [op for _, op in PLAN["steps"]]
    minute = 0
    for word, number, ahead, person in acts:
        minute += ahead
        who = {"person": person, "device": f"{person}'s"}
        target = story.events[-1 - number % len(story.events)].event
        match word:
            case "done":
                story.done(minute, *ops[number:], **who)
            case "skipped":
                story.tell(minute, EventKind.SKIPPED, ops=[ops[number]], why="x", **who)
            case "undone":
                story.undone(minute, target.id)
            case "part undone":
                story.undone(minute, target.id, ops[number])
            case "changed":
                story.tell(
                    minute, EventKind.CHANGED, steps=[[n + 1, op] for n, op in enumerate(ops[number:])]
                )
            case _:
                story.tell(minute, EventKind(word), **who)
    state = story.state
    assert all(spell.seconds is None or spell.seconds >= 0 for spell in state.spells)
    assert state.worked >= 0
    planned = {op for _, op in state.steps}
    left = {op for _, op in state.left}
    assert left.isdisjoint(state.ticks)
    assert left.isdisjoint(state.skipped)
    assert set(state.ticks).isdisjoint(state.skipped)
    assert planned <= left | set(state.ticks) | set(state.skipped)


@before_landing
def test_replay_grows_with_the_events_and_not_with_their_square(tmp_path):
    parts = counts(quick=240, landing=1_000, nightly=4_000)  # five events each

    def replayed(name: str, parts: int) -> Callable[[], object]:
        Journal.create("journal.db", tmp_path, name).close()
        journal = Journal.open("journal.db", tmp_path, name)
        steps = [[number, f"undo part-{number}/bolts"] for number in range(1, parts + 1)]
        events = [Event(EventKind.CHANGED, {"steps": steps})]
        for number in range(1, parts):
            events.append(Event(EventKind.DONE, {"ops": [f"undo part-{number}/bolts"]}, "Ann", "laptop"))
            events += [Event(EventKind.NOTE, {"text": "x" * 40, "op": "remove a"}, "Ann") for _ in range(3)]
            events.append(Event(EventKind.UNDONE, {"event": events[-2].id}, "Ann", "laptop"))
        journal.append(events)

        def work() -> object:
            replay = Replay()
            replay.take(journal.since())
            assert len(replay.events) == 5 * parts - 4
            return replay.state()

        assert len(work().done) == parts - 1
        return work

    assert growth(replayed("small", parts // 8), replayed("large", parts)) < 8 * 3  # its square would be 64
