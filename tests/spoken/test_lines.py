"""Spoken lines are read as a person means them, and hardly one is read wrongly in silence."""

from collections import Counter

from tests.spoken.notation import judge
from tests.spoken.score import LISTS, entries

RIGHT = 0.80
SILENTLY_WRONG = 0.01


def test_the_lists_of_lines_are_read():
    verdicts = {entry["say"]: judge(entry) for name in LISTS for entry in entries(name)}
    counts = Counter(one.word for one in verdicts.values())
    wrong = {say: (one.extra, one.missing) for say, one in verdicts.items() if one.word == "wrong"}
    assert len(verdicts) > 400
    assert counts["right"] >= RIGHT * len(verdicts), counts
    assert len(wrong) <= SILENTLY_WRONG * len(verdicts), wrong
