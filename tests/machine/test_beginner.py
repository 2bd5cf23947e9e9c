"""A beginner's slips in YAML are told as what they are, at the line that has them."""

import re

import pytest

from sequencer.machine import read_text
from tests.support.profile import before_landing

BASE = """machine: Cart
positions:
  bench: {label: At the bench}
fluids:
  oil:
    volume: 1 L
tasks:
  prop:
    label: Prop it
    before: [guard]
parts:
  guard:
    label: Guard
    joints:
      screws: {kind: screw, head: T25, count: 6}
  belt:
    behind: [guard]
    joints:
      tension:
        kind: tensioner
        head: 13
"""
LINES = BASE.splitlines()


def faults_with(number, line):
    text = "\n".join([*LINES[: number - 1], line, *LINES[number:]]) + "\n"
    return [str(fault).removeprefix("machine.yaml:") for fault in read_text(text).faults]


def test_the_file_itself_is_clean():
    assert read_text(BASE).faults == ()


@pytest.mark.parametrize("number", range(1, len(LINES) + 1))
def test_a_missing_colon_is_told_at_its_line(number):
    line = re.sub(r":(\s|$)", r"\1", LINES[number - 1], count=1)
    key = line.split()[0]
    (fault,) = faults_with(number, line)
    assert fault.startswith(
        f"{number}:{line.index(key) + len(key) + 1}: `{key}` has no colon behind it; write {key}:"
    )


@pytest.mark.parametrize("number", [n for n, line in enumerate(LINES, 1) if re.search(r": \S", line)])
def test_a_missing_blank_behind_a_colon_is_told_at_its_line(number):
    line = re.sub(r": (?=\S)", ":", LINES[number - 1], count=1)
    (fault,) = faults_with(number, line)
    assert fault.startswith(f"{number}:")
    assert "no blank stands behind the colon" in fault


@before_landing
@pytest.mark.parametrize(
    ("number", "by"),
    [
        (1, 2), (2, 2), (2, 1), (3, -2), (4, 2), (5, -2), (7, 2), (8, -2), (8, 2), (9, -2),
        (10, -2), (10, 2), (11, 2), (12, 2), (13, -2), (13, 2), (14, -2), (14, 2), (15, -2),
        (16, -2), (16, 2), (17, -2), (17, 2), (18, -2), (18, 2), (19, -2), (20, -2),
    ],
)  # fmt: skip
def test_a_line_one_level_out_is_told_at_its_line(number, by):
    own = LINES[number - 1]
    indent = len(own) - len(own.lstrip())
    fault = faults_with(number, " " * (indent + by) + own.lstrip())[0]
    assert fault.startswith(f"{number}:{indent + by + 1}: this line is indented by {indent + by}"), fault
    assert f"indent it by {indent}" in fault


def test_several_slips_are_told_at_once_with_what_else_is_wrong():
    text = (
        BASE.replace("label: Guard", "label Guard")
        .replace("head: 13", "head:13")
        .replace("[guard]\n    j", "[gaurd]\n    j")
    )
    faults = [str(fault) for fault in read_text(text).faults]
    assert [fault.split(":")[1] for fault in faults] == ["13", "17", "21"]
    assert "did you mean `guard`" in faults[1]


def test_a_text_with_a_colon_stays_what_it_was():
    text = BASE.replace("label: Guard", "label: Guard: hot")
    assert "a colon where none can be" in str(read_text(text).faults[0])


LISTED = """machine: Cart
positions:
  bench: {label: At the bench}
fluids:
  oil:
    volume: 1 L
    drain:
      from: bench
      tool: 13
parts:
  guard:
    label: Guard
    joints:
      screws: {kind: screw, head: T25, count: 6}
      bolts:
        kind: bolt
        head: 10
    note:
      - Look first
      - Mark it
  belt:
    label: Belt
"""


@pytest.mark.parametrize(
    ("line", "by"),
    [
        ("      from: bench", 2),
        ("      from: bench", 4),
        ("  guard:", -2),
        ("  guard:", -1),
        ("  guard:", 2),
        ("    joints:", -2),
        ("    joints:", -4),
        ("      bolts:", -4),
        ("      - Look first", 2),
    ],
)
def test_of_lines_that_differ_the_odd_one_is_told(line, by):
    lines = LISTED.splitlines()
    number, indent = lines.index(line) + 1, len(line) - len(line.lstrip()) + by
    lines[number - 1] = " " * indent + line.lstrip()
    faults = [str(fault) for fault in read_text("\n".join(lines) + "\n").faults]
    assert faults[0].startswith(f"machine.yaml:{number}:{indent + 1}: this line is indented by {indent}"), (
        faults
    )


def test_a_missing_blank_behind_a_dash_is_told_at_its_line():
    faults = [str(fault) for fault in read_text(LISTED.replace("- Mark", "-Mark")).faults]
    assert faults[0] == "machine.yaml:20:8: no blank stands behind the dash; write - Mark it"


@before_landing
@pytest.mark.parametrize("number", [13, 17])
def test_a_word_that_is_no_key_is_told_as_that(number):
    lead = LINES[number - 1][: len(LINES[number - 1]) - len(LINES[number - 1].lstrip())]
    faults = faults_with(number, f"{lead}blocked_by: [guard]")
    assert faults == [f"{number}:5: `blocked_by` is not a key of a part; did you mean `behind`?"]
