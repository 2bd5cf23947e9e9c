import re
from xml.etree import ElementTree as ET

import pytest

from sequencer.torque.tightening.bolt_order import bolt_order
from sequencer.torque.tightening.bolt_picture import order_picture

SVG = "{http://www.w3.org/2000/svg}"


def numbers(picture):
    root = ET.fromstring(picture)
    return [text.text for text in root.iter(f"{SVG}text") if text.get("font-weight") == "bold"]


HEAD = [(50.0 * column, y) for y in (80.0, 0.0) for column in range(5)]


@pytest.mark.parametrize(
    "order", [bolt_order(1), bolt_order(5), bolt_order(10, at=HEAD), bolt_order(24, pattern="cross")]
)
def test_the_picture_numbers_every_bolt_in_tightening_order(order):
    picture = order_picture(order)
    assert numbers(picture) == [str(rank) for rank in range(1, len(order.labels) + 1)]


def test_each_number_stands_on_its_own_bolt():
    order = bolt_order(4, at=[(0, 0), (100, 0), (100, 50), (0, 50)], order=["1", "3", "2", "4"])
    root = ET.fromstring(order_picture(order))
    circles = [
        (float(c.get("cx")), float(c.get("cy"))) for c in root.iter(f"{SVG}circle") if c.get("r") != "18.5"
    ]
    # In tightening order: bolt 1 at the lower left, bolt 3 at the upper right, 2 lower right, 4 upper left.
    (x1, y1), (x3, y3), (x2, y2), (x4, y4) = circles
    assert x1 == x4 < x2 == x3
    assert y3 == y4 < y1 == y2
    assert (y1 - y4) / (x2 - x1) == pytest.approx(0.5, abs=0.01)


def test_the_picture_says_whose_order_it_is():
    assert "generated" in order_picture(bolt_order(8, pattern="cross"))
    assert "generated" not in order_picture(bolt_order(2, order=["1", "2"]))
    assert "Order as the file gives it" in order_picture(bolt_order(2, order=["1", "2"]))


def test_each_bolt_keeps_its_one_number_when_it_is_loosened():
    order = bolt_order(10, at=HEAD)
    picture = order_picture(order, "Head", loosening=True)
    assert "Head: loosening order, from 10 down to 1" in picture
    assert numbers(picture) == [str(rank) for rank in range(1, 11)]
    double = re.search(r'r="18.5"[^>]*/>\n<circle[^>]*/>\n<text[^>]*>(\w+)</text>', picture)
    assert double is not None
    assert double[1] == "10"  # the first to be loosened is marked


def test_a_bolt_with_a_place_has_one_number_and_a_makers_letter_stands_beside_it():
    square = [(0, 0), (100, 0), (100, 50), (0, 50)]
    numbered = order_picture(bolt_order(4, at=square, order=["1", "3", "2", "4"]))
    assert sorted(re.findall(r">(\w)</text>", numbered)) == ["1", "2", "3", "4"]
    lettered = order_picture(bolt_order(4, at=square, order=["A", "C", "B", "D"]))
    assert sorted(re.findall(r">(\w)</text>", lettered)) == ["1", "2", "3", "4", "A", "B", "C", "D"]


def test_words_from_the_file_are_escaped():
    order = bolt_order(2, order=["<b>", "a&b"])
    picture = order_picture(order, '"Cover" <script>')
    assert "<script>" not in picture
    assert {"<b>", "a&b"} <= {text.text for text in ET.fromstring(picture).iter(f"{SVG}text")}


def test_the_picture_is_black_on_white():
    used = set(re.findall(r'(?:fill|stroke)="([^"]+)"', order_picture(bolt_order(8, pattern="cross"))))
    assert used <= {"none", "white", "black"}
