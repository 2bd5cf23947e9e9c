"""What the file has wrong is put right from the page, by the rules that the terminal has."""

import pytest

from tests.bench.test_no_path import desk, door_to
from tests.support.profile import before_landing

__all__ = ["desk"]
SCRIPT = {"Accept": "application/json"}


def test_another_head_is_put_right_at_the_step_and_taken_back(desk):
    text = desk.folder.machine.read_bytes()
    with door_to(desk) as door:
        step = door.ask("GET", "/step/undo guard/screws").text
        assert 'href="/correct?where=guard/screws"' in step
        form = door.ask("GET", "/correct?where=guard/screws").text
        assert 'name="head"' in form
        assert f"now {desk.machine.joint('guard', 'screws').head}" in form
        said = door.post("/correct", {"where": "guard/screws", "head": "T30"}, headers=SCRIPT)
        assert said.status_code == 200, said.text
        assert desk.machine.joint("guard", "screws").head == "T30"
        door.post("/undo", {})
    assert desk.folder.machine.read_bytes() == text


def test_a_part_gets_another_name(desk):
    with door_to(desk) as door:
        form = door.ask("GET", "/correct?where=guard").text
        assert 'name="label"' in form
        assert 'name="head"' not in form
        door.post("/correct", {"where": "guard", "label": "Belt guard, upper"})
    assert desk.machine.parts["guard"].label == "Belt guard, upper"


@before_landing
@pytest.mark.parametrize(
    "values",
    [{"torque": "twenty"}, {"count": "none"}, {"head": "no such"}, {}, {"where": "none", "head": "10"}],
)
def test_a_bad_value_is_a_message_and_nothing_is_written(desk, values):
    before = desk.folder.machine.read_bytes()
    with door_to(desk) as door:
        said = door.post("/correct", {"where": "guard/screws", **values}, headers=SCRIPT)
        assert (said.status_code, bool(said.json()["problem"])) == (409, True)
        assert door.ask("GET", "/correct?where=none").status_code == 404
    assert desk.folder.machine.read_bytes() == before
