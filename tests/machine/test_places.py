"""Which place is meant, whatever its words: the same for survey, told lines and what is found."""

import pytest

from sequencer.machine.heard.places import place_meant, tells_place

SAME = [
    ("behind the engine", "at the back of the engine"),
    ("behind the engine", "from the rear of the engine"),
    ("under", "from below"),
    ("under it", "underneath the van"),
    ("on the left", "left-hand side"),
    ("at the bench", "on the bench"),
    ("in the cab", "inside the cab"),
    ("in front", "at the front"),
    ("on top of the engine", "above the engine"),
    ("in the wheel arch", "in the whel arch"),
]
OTHER = [
    ("front wheel", "at the front of the wheel"),
    ("on the cab", "in the cab"),
    ("left wheel arch", "right wheel arch"),
    ("behind the engine", "engine"),
    ("bay 1", "bay 2"),
    ("boot", "foot"),
    ("the machine", "behind it"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_the_same_place_in_other_words(one, other):
    assert place_meant(one, {"key": other}) == "key"
    assert place_meant(other, {"key": one}) == "key"


@pytest.mark.parametrize(("one", "other"), OTHER)
def test_another_place_that_sounds_like_it(one, other):
    assert place_meant(one, {"key": other}) is None
    assert place_meant(other, {"key": one}) is None


def test_a_place_is_told_from_a_thing():
    assert tells_place("at the back of the engine")
    assert tells_place("under it")
    assert not tells_place("under-tray")
    assert not tells_place("inside panel")
