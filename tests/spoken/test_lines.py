"""Spoken lines are read as a person means them, and hardly one is read wrongly in silence."""

from collections import Counter

import pytest

from tests.spoken.notation import judge
from tests.spoken.score import entries

RIGHT = 0.80
SILENTLY_WRONG = 0.01


@pytest.mark.parametrize("name", ["lines.toml", "held_out.toml", "held_out_2.toml", "held_out_3.toml"])
def test_a_list_of_lines_is_read(name):
    verdicts = {entry["say"]: judge(entry) for entry in entries(name)}
    counts = Counter(one.word for one in verdicts.values())
    wrong = {say: (one.extra, one.missing) for say, one in verdicts.items() if one.word == "wrong"}
    assert counts["right"] >= RIGHT * len(verdicts), counts
    assert len(wrong) <= SILENTLY_WRONG * len(verdicts), wrong
