"""What has just been done is told as the step was, on both ways."""

from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from sequencer.bench.pages.told import ToldView
from tests.job.told.at_a_bare_job import desk_at
from tests.support.door import HERE, Door


def test_after_a_turn_nothing_is_offered_to_be_taken_back_but_the_turn(tmp_path):
    desk = desk_at(tmp_path / "job", "rotor")
    desk.did("rotor: 4 bolts 13")
    assert ToldView.of(desk.moment(), "Ann").event
    desk.turn()
    shown = ToldView.of(desk.moment(), "Ann")
    assert (shown.read, shown.event, shown.question) == ((), "", None)
    sessions = Sessions(tmp_path / "devices.json")
    door = Door(page(tmp_path / "job", sessions, HERE), sessions)
    told = door.ask("GET", "/").text
    door.close()
    desk.close()
    assert "Take back the tick" not in told
    assert "Take back what was told last" not in told


def test_a_step_of_the_way_back_is_told_in_words_once_it_is_done(desk, tmp_path):
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    number, op = desk.state().left[0]
    desk.done(number)
    sessions = Sessions(tmp_path / "devices.json")
    door = Door(page(tmp_path / "job", sessions, HERE), sessions)
    told = door.ask("GET", "/").text
    door.close()
    verb, _, subject = op.partition(" ")
    assert "Just done" in told
    assert f"<h3>{verb} {subject}" not in told
    assert f"<h3>{verb.capitalize()} " in told
