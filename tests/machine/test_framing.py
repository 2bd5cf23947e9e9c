"""Where an assembly is: its boxes in the machine's frame, held against corners that are turned one by one."""

import itertools
import random
from fractions import Fraction

import pytest

from sequencer.graph.geometry import scan
from sequencer.machine import read_text
from sequencer.machine.facts.frame import direction
from tests.support.profile import counts

ALL = [
    tuple(f"{sign}{axis}" for sign, axis in zip(signs, axes, strict=True))
    for axes in itertools.permutations("xyz")
    for signs in itertools.product("+-", repeat=3)
]

AXLE = """\
assembly: Axle
frame: "nought at the hub, x outwards, z up"
parts:
  cap: {box: {at: [20, -20, -20], size: [5, 40, 40]}, out: [+x, [1, 0, 1]], joints: {clip: {kind: clip}}}
  disc:
    box: [{at: [0, -100, -100], size: [20, 200, 200]}, {at: [-5, -10, -10], size: [5, 20, 20]}]
    out: +x
    aside: {joints: [screw], by: [[10, 0, 0], [10, 7.5, 0]]}
    joints:
      screw:
        {kind: screw, head: T30, at: [20, 0, 10], axis: +x, reach: 50, box: {at: [20, 0, 8], size: [2, 4, 4]}}
      bolts: {kind: bolt, head: 10, count: 2, torque: 9 N.m, at: [[0, 0], [10, 0]]}
"""


@pytest.fixture
def placed(tmp_path):
    def machine(frame, text=AXLE):
        (tmp_path / "axle.yaml").write_text(text)
        told = f", frame: {frame}" if frame else ""
        reading = read_text(
            f"machine: M\ninclude: [{{assembly: axle.yaml, as: a{told}}}]\n", "m.yaml", tmp_path
        )
        assert reading.machine is not None, [str(one) for one in reading.faults]
        return reading.machine

    return machine


def turned(point, along, at=(0, 0, 0)):
    """Each axis of the assembly by itself: a step along it is a step along that of the machine."""
    found = [Fraction(one) for one in at]
    for step, way in zip(point, along, strict=True):
        found["xyz".index(way[1])] += step if way[0] == "+" else -step
    return tuple(found)


def corners(box):
    ends = [(one, one + length) for one, length in zip(box.at, box.size, strict=True)]
    return set(itertools.product(*ends))


def written(frame, along):
    return f"{{at: [{', '.join(map(str, frame))}], along: [{', '.join(along)}]}}"


@pytest.mark.parametrize("along", counts(quick=ALL[::7], landing=ALL, nightly=ALL), ids=" ".join)
def test_every_turn_and_mirror_moves_each_corner_as_that_corner_by_itself(along, placed):
    rng = random.Random(" ".join(along))
    at = [rng.randint(-900, 900), rng.randint(-900, 900) / 2, 0]
    own, there = placed("[0, 0, 0]").parts["a-disc"], placed(written(at, along)).parts["a-disc"]
    for mine, its in zip(own.boxes, there.boxes, strict=True):
        assert {turned(corner, along, at) for corner in corners(mine)} == corners(its)
    mine, its = own.joints["screw"], there.joints["screw"]
    assert direction(its.axis) == turned(direction(mine.axis), along)
    assert tuple(turned(one, along, at) for one in mine.spots) == tuple(its.spots)
    moves = [(*one.aside.via, one.aside.by) for one in (own, there)]
    assert [turned(stop, along) for stop in moves[0]] == [*moves[1]]


@pytest.mark.parametrize("along", counts(quick=ALL[3::16], landing=ALL[1::5], nightly=ALL), ids=" ".join)
def test_what_is_in_the_way_of_what_is_so_wherever_it_lies(along, placed):
    def seen(machine):
        found = scan(machine)
        return sorted((one.part, one.joint or "", one.move, str(one.any_of)) for one in found.hidden)

    own = seen(placed("[0, 0, 0]"))
    assert own
    assert seen(placed(written([10, -5.5, 70], along))) == own


def test_without_a_place_there_are_no_boxes_where_the_assembly_has_a_frame_of_its_own(placed):
    disc = placed("").parts["a-disc"]
    assert (disc.boxes, disc.out, disc.aside.by) == ((), (), None)
    assert disc.joints["screw"].axis is None
    assert disc.joints["bolts"] == placed("[5, 5, 5]").parts["a-disc"].joints["bolts"]  # their pattern stays
    assert placed("", AXLE.replace('frame: "nought', 'about: "nought')).parts["a-disc"].boxes


@pytest.mark.parametrize(
    ("frame", "said"),
    [
        ("3", "where its frame lies is wanted here"),
        ("[0, 0]", "a corner has three numbers"),
        ("{along: [+x, +y, +z]}", "where its frame lies is wanted here"),
        ("{at: [0, 0, 0], along: [+x, -x, +z]}", "one each of the machine's x, y and z"),
        ("{at: [0, 0, 0], along: up}", "one each of the machine's x, y and z"),
    ],
)
def test_a_frame_that_is_none_is_told_with_its_place(frame, said, tmp_path):
    (tmp_path / "axle.yaml").write_text(AXLE)
    text = f"machine: M\ninclude: [{{assembly: axle.yaml, as: a, frame: {frame}}}]\n"
    (only,) = read_text(text, "m.yaml", tmp_path).faults
    assert str(only).startswith("m.yaml:2:")
    assert said in only.problem
