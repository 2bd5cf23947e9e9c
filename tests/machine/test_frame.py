"""Where things are, how many hands they take, how well they are known: exact, or refused at their place."""

from fractions import Fraction

import pytest

from sequencer.machine import read
from sequencer.machine.facts.frame import Box, vector
from tests.machine.test_checks import marked
from tests.machine.texts import SMALL, faults_of_part, joint, machine

CLIP = "joints: {a: {kind: clip}}"


def part(body: str):
    return machine(SMALL + f"  x: {{{body}, {CLIP}}}\n").parts["x"]


def test_what_is_left_out_is_nothing_or_one():
    x = part("weight: 1 kg")
    assert (x.boxes, x.out, x.mesh, x.seen, x.people, x.found) == ((), (), None, None, 1, None)
    a = x.joints["a"]
    assert (a.spots, a.axis, a.reach, a.swing, a.draw, a.boxes, a.tolerance) == ((), *[None] * 4, (), None)
    found = machine(SMALL)
    assert found.positions["bench"].room == 1
    assert machine(SMALL.replace("prop: {}", "prop: ")).tasks["prop"].people == 1


def test_boxes_are_exact_and_one_needs_no_list():
    one = "{at: [0, -1.5, 2], size: [10, 0.1, 3]}"
    box = Box((Fraction(0), Fraction(-3, 2), Fraction(2)), (Fraction(10), Fraction(1, 10), Fraction(3)))
    assert part(f"box: {one}").boxes == (box,)
    assert part(f"box: [{one}, {one}]").boxes == (box, box)
    assert box.end == (10, Fraction(-7, 5), 5)


def test_ways_shifts_and_looks_are_kept():
    x = part(
        "box: {at: [0, 0, 0], size: [1, 1, 1]}, out: [+z, -y], seen: [front, above], loose: {by: [0, 0, 6]}"
    )
    assert (x.out, x.seen, x.loose.by) == (("+z", "-y"), ("front", "above"), vector(0, 0, 6))
    assert part("box: {at: [0, 0, 0], size: [1, 1, 1]}, out: -x").out == ("-x",)
    assert part("seen: []").seen == ()


def test_a_joints_lengths_may_have_a_unit():
    found = joint("kind: bolt, head: 13, at: [1, 2, 3], axis: -x, reach: 150, swing: 12 cm, draw: 2 in")
    assert (found.spots, found.axis) == ((vector(1, 2, 3),), "-x")
    assert (found.reach, found.swing, found.draw) == (150, 120, Fraction("50.8"))


def test_two_numbers_are_the_pattern_and_three_the_frame():
    pattern = joint("kind: bolt, head: 10, count: 2, at: [[0, 0], [80, 0]]")
    assert (pattern.at, pattern.spots) == (((0.0, 0.0), (80.0, 0.0)), ())
    frame = joint("kind: bolt, head: 10, count: 2, at: [[0, 0, 1], [80, 0, 1]]")
    assert (frame.at, frame.spots) == ((), (vector(0, 0, 1), vector(80, 0, 1)))


def test_hands_days_tolerances_and_intervals_are_read():
    x = part("people: 2, found: 2026-11-25, renew: {item: Seal, interval: 100000 km}")
    assert (x.people, x.found, x.renew[0].interval) == (2, "2026-11-25", "100000 km")
    a = joint("kind: bolt, head: 10, torque: 9 N.m, tolerance: ±4 %, found: 2026-02-28")
    assert (a.tolerance, a.found) == (Fraction(1, 25), "2026-02-28")
    text = SMALL.replace("bench: {}", "bench: {room: 2}").replace("prop: {}", "prop: {people: 2}")
    found = machine(
        text.replace("{drive: none}", "{count: 3}") + "  x: {joints: {a: {tool: long-bar, kind: clip}}}\n"
    )
    assert (found.positions["bench"].room, found.tasks["prop"].people) == (2, 2)
    assert found.tools["long-bar"].count == 3


BOX = "box: {at: [0, 0, 0], size: [1, 1, 1]}"


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("box: {at: [0, 0, 0], size: »[1, 0, 2]}", "a box has some length each way, and this one has none"),
        ("»box: {at: [0, 0, 0]}", "a box needs `size`; write size: [40, 20, 10]"),
        (
            "box: {at: »[0, 0], size: [1, 1, 1]}",
            "a corner has three numbers, x, y and z; write [x, y, z] in mm",
        ),
        (
            "box: {at: »[0, 0, 1e3], size: [1, 1, 1]}",
            "a number of millimetres is wanted here, and this is the text",
        ),
        ("box: {at: »[0, 0, 100000], size: [1, 1, 1]}", "100000 mm is farther than any machine reaches"),
        (f"{BOX}, out: [+z, »up]", "`up` is no way; the ways are +x, -x, +y, -y, +z, -z"),
        (f"{BOX}, out: [+z, »+z]", "warning: `+z` is in this list twice; take one out"),
        (f"{BOX}, loose: {{by: »[0, 1]}}", "a shift has three numbers, x, y and z; write how far it goes"),
        ("»out: +z", "warning: it is said how it moves, and not what room it takes; write box:"),
        (
            "loose: {»by: [0, 0, 1]}",
            "warning: it is said how it moves, and not what room it takes; write box:",
        ),
        ("people: »0", "'0' is not a number of people; write a whole number from 1 to 99"),
        ("found: »2026-13-01", "'2026-13-01' is not a day; write year, month and day: 2026-11-25"),
        ("mesh: »x.step", "`x.step` is not a shape that can be read; give an .stl, .obj or .glb file"),
        ("mesh: »../x.stl", "a shape lies beside the machine file or below it; write its path from there"),
        ("mesh: »/x.stl", "a shape lies beside the machine file or below it; write its path from there"),
        ("mesh: »c:\\x.stl", "a shape lies beside the machine file or below it; write its path from there"),
        ("mesh: »none.stl", "warning: there is no file `none.stl` beside the machine file; put it there"),
    ],
)
def test_what_a_part_says_of_its_place_must_make_sense(keys, fault):
    place, line = marked(f"x: {{{keys}, {CLIP}}}")
    (found,) = faults_of_part(line)
    assert found.startswith(f"{place}: {fault}")


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("at: »[[0, 0, 0], [1, 1]]", "a place has two numbers, or three in the machine's frame"),
        ("at: [0, 0, 0], axis: »up", "`up` is no way; the ways are +x, -x, +y, -y, +z, -z"),
        ("at: [0, 0, 0], axis: +z, reach: »0", "a length is more than nothing and less than 100000 mm"),
        ("at: [0, 0, 0], axis: +z, reach: »3 kg", "3 kg is a weight"),
        (
            "at: [0, 0, 0], »reach: 3",
            "warning: `reach` says nothing without the fastener's place and axis; write axis: +z",
        ),
        (
            "axis: +z, »draw: 3",
            "warning: `draw` says nothing without the fastener's place and axis; write at: [x, y, z]",
        ),
        (
            "»at: [[0, 0, 0], [1, 0, 0]], count: 3",
            "warning: there are 2 places, and the count is 3; write one place",
        ),
        ("tolerance: »5", "'5' is not a tolerance; write it in per cent: 5 %"),
        ("tolerance: »0 %", "a tolerance of 0 % can't be kept"),
        (
            "tolerance: »26 %",
            "with a tolerance of 26 % nearly any reading would do",
        ),
        (
            "box: {at: [0, 0, 0], size: »[1, 1]}",
            "a size has three numbers, along x, y and z; write size: [40, 20, 10]",
        ),
    ],
)
def test_what_a_joint_says_of_its_place_must_make_sense(keys, fault):
    place, line = marked(f"x: {{joints: {{a: {{{keys}, kind: clip}}}}}}")
    (found,) = faults_of_part(line)
    assert found.startswith(f"{place}: {fault}"), found


def test_a_shape_is_looked_for_beside_the_machine_file(tmp_path):
    (tmp_path / "files").mkdir()
    file = tmp_path / "m.yaml"
    file.write_text(f"machine: m\nparts: {{x: {{mesh: files/x.stl, {CLIP}}}}}\n", "utf-8")
    assert [fault.severity for fault in read(file).faults] == ["warning"]
    (tmp_path / "files" / "x.stl").write_text("solid x\nendsolid x\n", "utf-8")
    assert read(file).faults == ()
