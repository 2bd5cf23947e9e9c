"""Steps by the names and labels of what they are done to, in every act that takes a step."""

import pytest

from sequencer.job.now.choosing import ChoiceError, chosen
from tests.support.profile import before_landing


@before_landing
@pytest.mark.parametrize(
    ("text", "op"),
    [
        ("remove Belt guard", "remove guard"),
        ("the Belt guard", "remove guard"),
        ("undo Belt guard screws", "undo guard/screws"),
        ("Belt guard screws", "undo guard/screws"),
        ("Isolate the supply; lock it; prove it dead", "task isolate"),
        ("drain Water and inhibitor", "drain water"),
    ],
)
def test_a_step_is_named_by_the_label_of_what_it_is_done_to(desk, text, op):
    assert chosen(desk.moment(), [text]) == (op,)


def test_a_label_of_nothing_is_no_step_and_one_of_several_is_asked(desk):
    with pytest.raises(ChoiceError, match="there is no step 'Flywheel'"):
        chosen(desk.moment(), ["Flywheel"])
    with pytest.raises(ChoiceError, match="is in several steps"):
        chosen(desk.moment(), ["Pump pulley bolts"])


def test_a_tick_is_taken_back_by_the_label(desk):
    desk.done(["task isolate", "undo guard/screws"])
    desk.undo("Belt guard screws")
    assert list(desk.moment().state.ticks) == ["task isolate"]
