"""What has just been done is told as the step was, on both ways."""

import pytest

from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from sequencer.job.desk import Desk
from tests.bench.conftest import make_job
from tests.support.door import HERE, Door


@pytest.fixture
def desk(tmp_path):
    make_job(tmp_path / "job")
    opened = Desk.open(tmp_path / "job")
    yield opened
    opened.close()


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
