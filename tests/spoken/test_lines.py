"""Spoken lines are read as a person means them, and hardly one is read wrongly in silence."""

from collections import Counter

import pytest

from sequencer.spoken import Context, read
from tests.spoken.notation import judge
from tests.spoken.score import LISTS, entries
from tests.support.profile import counts

RIGHT = 0.80
SILENTLY_WRONG = 0.01


def test_the_lists_of_lines_are_read():
    every = counts(quick=16, landing=5, nightly=1)
    verdicts = {entry["say"]: judge(entry) for name in LISTS for entry in entries(name)[::every]}
    words = Counter(one.word for one in verdicts.values())
    wrong = {say: (one.extra, one.missing) for say, one in verdicts.items() if one.word == "wrong"}
    assert len(verdicts) > 400 // every
    assert words["right"] >= RIGHT * len(verdicts), words
    assert len(wrong) <= SILENTLY_WRONG * len(verdicts), wrong


@pytest.mark.parametrize("entry", entries("by_class.toml")[:: counts(quick=6, landing=3, nightly=1)])
def test_a_line_of_a_class_is_read_rightly(entry):
    verdict = judge(entry)
    assert verdict.word == "right", verdict


def test_nothing_is_in_the_way_of_itself():
    context = Context({"drive-belt": "Drive belt"})
    line = read("belt covers left and right, two screws T30 each, was in the way of the drive belt", context)
    assert line.acts[0].part.label == "belt covers left and right"
    line = read("drive belt off, it was in the way of the drive belt", context)
    assert line.question.about == "meaning"
