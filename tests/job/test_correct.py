"""What the file has wrong about a part or joint is put right on the job, by the file's own rules."""

from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.job.journal.events import EventKind
from sequencer.job.learning import learning
from sequencer.job.now.acts import RefusedError
from tests.support.profile import before_landing

ON = date(2026, 11, 25)


def test_another_head_takes_another_tool_and_is_taken_back(desk, job):
    before, text = desk.machine.joint("motor", "feet"), job.machine.read_bytes()
    said = desk.correct("motor/feet", {"head": "E12"})
    assert said.words[0] == "corrected motor/feet: head E12, was 13"
    joint = desk.machine.joint("motor", "feet")
    assert (joint.head, joint.tool != before.tool) == ("E12", True)
    step = next(s for s in desk.plan().steps if s.operation.name == "slacken motor/feet")
    assert step.operation.tool == joint.tool
    assert desk.undo().words[0] == "taken back: corrected motor/feet: head E12, was 13"
    assert job.machine.read_bytes() == text
    assert desk.machine.joint("motor", "feet") == before


@before_landing
def test_thread_count_torque_class_pattern_and_label_are_put_right_at_once(desk):
    values = {"thread": "M8x1", "count": "3", "torque": "20 N.m", "class": "10.9", "label": "feet"}
    desk.correct("motor/feet", values)
    joint = desk.machine.joint("motor", "feet")
    assert (joint.thread, joint.count, joint.label) == ("M8x1", 3, "feet")
    desk.correct("motor", {"label": "Drive motor"})
    assert desk.machine.parts["motor"].label == "Drive motor"
    words = [one.event.body["what"] for one in desk.state().of(EventKind.CORRECTED)]
    assert words[1] == "motor: label Drive motor, was Motor"


@before_landing
@pytest.mark.parametrize(
    ("where", "values"),
    [
        ("motor/feet", {"torque": "900 N.m"}),
        ("motor/feet", {"torque": "twenty"}),
        ("motor/feet", {"count": "none"}),
        ("motor/feet", {"head": "13"}),
        ("motor/feet", {"colour": "red"}),
        ("motor/feet", {"head": " "}),
        ("motor/feet", {}),
        ("motor", {"head": "13"}),
        ("motor/fete", {"head": "13"}),
    ],
)
def test_what_the_file_would_not_take_is_refused_and_nothing_is_written(desk, job, where, values):
    before = job.machine.read_bytes()
    with pytest.raises(SequencerError):
        desk.correct(where, values)
    assert job.machine.read_bytes() == before
    assert desk.state().of(EventKind.CORRECTED) == ()


@before_landing
def test_a_joint_at_its_torque_is_taken_back_first(desk):
    desk.done("1-17")
    desk.turn()
    desk.done("18-19")
    desk.done("20", torque="40 N.m")
    with pytest.raises(RefusedError, match="take that back first: undo 20"):
        desk.correct("impeller/nut", {"torque": "30 N.m"})
    desk.correct("impeller/nut", {"head": "17"})


def test_what_was_put_right_is_offered_for_the_file_it_came_from(desk, tmp_path):
    origin = tmp_path / "origin.yaml"
    origin.write_bytes(desk.folder.machine.read_bytes())
    desk.correct("motor/feet", {"head": "E12"})
    (offer,) = learning.offers(desk.moment(), "Ann", origin)
    assert offer.words == "motor/feet: head E12"
