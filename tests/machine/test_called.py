"""A part or joint is meant by its key, its label, or words that no other has; several are asked about."""

import pytest

from sequencer.errors import SequencerError
from sequencer.machine.called import (
    AmbiguousError,
    joint_called,
    known_by_name,
    part_called,
    part_spoken_of,
    position_called,
)
from sequencer.machine.reading import read_text

TEXT = """
machine: Cart
positions: {bench: {label: At the bench}, under: {label: Lying under it}}
parts:
  bearing-in:
    label: Inner bearing
    joints: {ring: {kind: circlip}}
  bearing-out:
    label: Outer bearing
    joints: {bolts: {kind: bolt, head: 10, count: 2, thread: M6}}
  cover:
    label: Valve cover
    joints:
      bolts: {kind: bolt, head: 10, count: 6, thread: M6}
      plug: {kind: connector}
  head: {joints: {bolts: {kind: bolt, head: 13, count: 2}, bolts-2: {kind: bolt, head: T55, count: 10}}}
  tank-cap: {label: Cap of the header tank, joints: {latch: {kind: latch}}}
  cover-left:
    joints: {nut: {kind: nut, head: 13, thread: M8}}
"""


@pytest.fixture(scope="module")
def cart():
    machine = read_text(TEXT).machine
    assert machine is not None
    return machine


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("bearing-in", "bearing-in"),
        ("Inner bearing", "bearing-in"),
        ("the inner  BEARING", "bearing-in"),
        ("inner bearings", "bearing-in"),
        ("valve cover", "cover"),
        ("cover", "cover"),
        ("cover left", "cover-left"),
        ("bearing out", "bearing-out"),
    ],
)
def test_a_part_goes_by_key_and_label(cart, words, part):
    assert part_called(cart, words) == part


@pytest.mark.parametrize(
    ("words", "joint"),
    [
        ("cover/bolts", "cover/bolts"),
        ("valve cover bolts", "cover/bolts"),
        ("bolts of the valve cover", "cover/bolts"),
        ("Valve cover/bolt", "cover/bolts"),
        ("outer bearing", "bearing-out/bolts"),
        ("the M8 nut", "cover-left/nut"),
    ],
)
def test_a_joint_goes_by_path_and_words(cart, words, joint):
    assert joint_called(cart, words).path == joint


def test_what_may_be_several_is_asked(cart):
    with pytest.raises(AmbiguousError, match="say which: bearing-in, bearing-out"):
        part_called(cart, "bearing")
    with pytest.raises(AmbiguousError, match="bearing-out/bolts, cover/bolts"):
        joint_called(cart, "M6 bolts")


def test_what_is_not_there_is_told_with_what_was_meant(cart):
    with pytest.raises(SequencerError, match="did you mean cover-left"):
        part_called(cart, "covre-left")
    with pytest.raises(SequencerError, match="its joints are cover/bolts, cover/plug"):
        joint_called(cart, "cover/zzz")


def test_an_adjective_alone_names_nothing(cart):
    with pytest.raises(SequencerError, match="no part 'inner'"):
        part_called(cart, "inner")


def test_only_a_whole_name_is_a_known_part(cart):
    assert known_by_name(cart, "Inner Bearing") == "bearing-in"
    assert known_by_name(cart, "bearing") is None


def test_positions_go_by_label(cart):
    assert position_called(cart, "Lying under it") == "under"


def test_the_cap_of_a_tank_is_not_the_tank(cart):
    assert part_called(cart, "cap") == "tank-cap"
    assert part_called(cart, "header tank cap") == "tank-cap"
    with pytest.raises(SequencerError, match="no part 'header tank'"):
        part_called(cart, "header tank")


def test_joints_told_apart_by_a_number_alone_are_asked_about(cart):
    with pytest.raises(AmbiguousError, match=r"may be several joints; say which: head/bolts, head/bolts-2"):
        joint_called(cart, "head bolts")
    assert joint_called(cart, "head/bolts").head == "13"


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("the threads in the third hole of the bearing cap are tired", "bearing-cap"),
        ("mark the direction on the belt", "flat-belt"),
        ("the cap is cracked", "bearing-cap"),
        ("das Lüfterrad sitzt fest", "rad"),
        ("the tank is rusty", None),
        ("a shim fell out", None),
    ],
)
def test_a_remark_is_about_the_one_part_that_it_names(text, key):
    parts = {
        "bearing-cap": "Bearing cap",
        "flat-belt": "Flat belt",
        "rad": "Lüfterrad",
        "lid": "Lid of the tank",
    }
    lines = "".join(f"  {one}: {{label: {label}}}\n" for one, label in parts.items())
    machine = read_text(f"machine: m\nparts:\n{lines}", "m.yaml").machine
    assert part_spoken_of(machine, text) == key
