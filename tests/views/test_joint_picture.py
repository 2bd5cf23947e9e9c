"""A joint's picture: numbers in order, whose order it is, and what is refused."""

import re
import xml.etree.ElementTree as ET

import pytest

from sequencer.errors import SequencerError
from sequencer.machine.reading import read_text
from sequencer.render.pictures.joint import joint_picture

HEAD = """
machine: Head
parts:
  head:
    label: LABEL
    joints:
      bolts: {kind: bolt, head: 10, count: 6, at: AT, torque: {value: 9 N.m, WORDS}}
"""
AT = "[[0, 0], [50, 0], [100, 0], [0, 60], [50, 60], [100, 60]]"


def picture(words, label="Cylinder head", at=True, **more):
    text = HEAD.replace("WORDS", words).replace("LABEL", label)
    machine = read_text(text.replace("AT", AT) if at else text.replace("at: AT, ", ""), "head.yaml").machine
    return joint_picture(machine, machine.joint("head", "bolts"), **more)


def texts(svg):
    root = ET.fromstring(svg)
    return [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]


def test_the_picture_is_named_after_its_joint_and_says_whose_order_it_is():
    given = texts(picture("order: [a, b, c, d, e, f]"))
    assert given[0] == "Cylinder head: bolts: tightening order"
    assert "Order as the file gives it" in given
    generated = " ".join(texts(picture("pattern: spiral")))
    assert "Spiral order, generated; " in generated
    assert "the maker's own order goes before it" in generated


def test_the_loosening_picture_is_marked_generated_even_of_a_makers_order():
    told = " ".join(texts(picture("order: [a, b, c, d, e, f]", loosening=True)))
    assert "Cylinder head: bolts: loosening order" in told
    assert "Generated: the tightening order backwards" in told
    assert "as the file gives it" not in told


def test_no_line_of_the_picture_is_wider_than_it():
    long_name = "A very long name of a part that goes on and on and on, with its side covers"
    for words in ("pattern: cross", "pattern: spiral", "order: [a, b, c, d, e, f]"):
        for loosening in (False, True):
            svg = picture(words, f'"{long_name}"', loosening=loosening)
            for size, text in re.findall(r'font-size="([\d.]+)"[^>]*>([^<]+)</text>', svg):
                # 0.6 of the size is wider than the mean letter of a common sans serif. Common practice.
                assert 0.6 * float(size) * len(text) <= 320, text


def test_a_picture_of_no_known_order_is_refused_with_file_and_line():
    with pytest.raises(SequencerError, match=r"head.yaml:7:7: `head/bolts`: nothing tells the order"):
        picture("source: nobody", at=False)
    for words in ("pattern: spiral", "pattern: cross", "pattern: line", "order: [a, b, c, d, e, f]"):
        with pytest.raises(SequencerError, match="nothing tells where they sit; write at:"):
            picture(words, at=False)


def test_so_few_that_any_order_will_do_have_no_loosening_picture():
    text = HEAD.replace("count: 6", "count: 4").replace("AT", "[[0, 0], [0, 40], [40, 0], [40, 40]]")
    text = text.replace("WORDS", "pattern: cross").replace("LABEL", "Lid")
    machine = read_text(text).machine
    with pytest.raises(SequencerError, match="so few fasteners are loosened in any order"):
        joint_picture(machine, machine.joint("head", "bolts"), loosening=True)
