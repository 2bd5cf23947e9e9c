"""What was told of one side is told of the other in three words."""

import pytest

from sequencer.machine.survey import AnswerError
from tests.machine.test_survey import begun, ids, read


@pytest.fixture
def sides():
    survey = begun("left cam cover", "right cam cover")
    survey.answer("parts/left-cam-cover/held", "8 bolts 8 mm from left wing, connector")
    return survey


def asked(survey, question):
    return next(one for one in survey.open_questions if one.id == question)


def test_what_holds_the_other_is_offered_first_and_taken_over(sides):
    sides.answer("parts/left-cam-cover/way", "bolts: left bracket; left coil aside, battery")
    question = asked(sides, "parts/right-cam-cover/held")
    assert question.choices[:2] == ("same on the other side", "nothing, it lifts off")
    echo = sides.answer("parts/right-cam-cover/held", question.choices[0])
    assert echo == "as left cam cover, held by 8 bolts (8 mm socket) and connector"
    assert asked(sides, "parts/right-cam-cover/way").choices[0] == "same on the other side"
    echo = sides.answer("parts/right-cam-cover/way", "same on the other side.")
    assert echo == "in its way: the same as at left cam cover, on its own side"
    parts = read(sides).parts
    assert "parts/right-bracket/held" in ids(sides)
    assert [str(need) for need in parts["right-cam-cover"].joints["bolts"].under("behind")] == [
        "right-bracket", "right-coil=aside", "battery",
    ]  # fmt: skip
    assert (
        parts["left-cam-cover"].joints["bolts"].count == parts["right-cam-cover"].joints["bolts"].count == 8
    )


def test_any_other_part_may_be_named(sides):
    assert sides.answer("parts/right-cam-cover/held", "same as the left cam cover").startswith("as left cam")
    sides.answer("parts/left-cam-cover/way", "belt")
    assert sides.answer("parts/belt/held", "same as right cam cover").startswith(
        "as right cam cover, held by 8"
    )


@pytest.mark.parametrize(
    ("question", "answer", "refused"),
    [
        ("parts/left-cam-cover/way", "same", "of `right cam cover` that is not known yet"),
        ("parts/right-cam-cover/held", "same as the gearbox", "of `gearbox` that is not known yet"),
    ],
)
def test_what_was_not_told_is_asked_back_and_nothing_changes(sides, question, answer, refused):
    before = ids(sides)
    with pytest.raises(AnswerError, match=refused):
        sides.answer(question, answer)
    assert ids(sides) == before


def test_it_is_not_put_in_its_own_way(sides):
    sides.answer("parts/left-cam-cover/way", "right cam cover")
    sides.answer("parts/right-cam-cover/held", "same")
    with pytest.raises(AnswerError, match="was said to be in the way"):
        sides.answer("parts/right-cam-cover/way", "same")
    assert "parts/right-cam-cover/way" in ids(sides)
