"""What has just been done is told as the step was, on both ways."""

from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from tests.support.door import HERE, Door


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
