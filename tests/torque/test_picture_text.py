"""An order in signs: the numbers of the drawing at the same places, the first marked, none run together."""

import math
import re

import pytest

from sequencer.torque.tightening.bolt_order import bolt_order
from sequencer.torque.tightening.picture_text import WIDEST, order_lines

HEAD = [(90.0 * column, y) for y in (80.0, 0.0) for column in range(5)]
FORTY = [(30.0 * column, 60.0 * row) for row in range(4) for column in range(10)]
ROUND = [(100 * math.sin(turn * math.pi / 20), 100 * math.cos(turn * math.pi / 20)) for turn in range(40)]


def test_a_head_is_shown_as_one_looks_at_it():
    assert order_lines(bolt_order(10, at=HEAD)) == ("10  6 [1] 3  7", " 8  4  2  5  9")


@pytest.mark.parametrize("at", [HEAD, FORTY, ROUND, HEAD[:3]])
def test_every_bolt_has_its_number_once_and_the_start_is_marked(at):
    lines = order_lines(bolt_order(len(at), at=at, pattern="spiral"))
    assert sorted(map(int, re.findall(r"\d+", " ".join(lines)))) == list(range(1, len(at) + 1))
    assert sum("[1]" in line for line in lines) == 1
    assert max(map(len, lines)) <= WIDEST


def test_without_places_or_too_close_for_a_screen_there_is_none():
    assert order_lines(bolt_order(10, pattern="spiral")) == ()
    assert order_lines(bolt_order(6)) == ()
    assert order_lines(bolt_order(40, at=[(float(n), 0.0) for n in range(40)], pattern="line")) == ()
