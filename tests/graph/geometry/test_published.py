"""Assemblies from the literature, from memory: their pieces as boxes, and what holds what there.

Dimensions are our own; only which piece holds which is theirs.
"""

import random

import pytest

from tests.graph.geometry.test_scenes import relations
from tests.machine.texts import machine
from tests.support.profile import counts

CLIP = "joints: {c: {kind: clip}}"


def held(**parts):
    """For each part, what has to be off before it comes away: one of each."""
    lines = []
    for name, (out, *boxes) in parts.items():
        rooms = ", ".join(f"{{at: {list(at)}, size: {list(size)}}}" for at, size in boxes)
        lines.append(f"  {name}: {{box: [{rooms}], out: {out}, {CLIP}}}\n")
    told = relations(machine("machine: m\nparts:\n" + "".join(lines)))
    return {part: sorted("|".join(sorted(any_of)) for any_of in all_of) for (part, _), all_of in told.items()}


def test_the_crate():
    """A crate after Wilson & Latombe, Artificial Intelligence 71 (1994), from memory.

    Two bars go through the side walls over the lid: the lid lies free, and is held until both are drawn.
    """
    walls = [((0, 0, 0), (5, 100, 60)), ((95, 0, 0), (5, 100, 60)), ((5, 0, 0), (90, 100, 5))]
    walls += [((0, 0, 75), (5, 100, 10)), ((95, 0, 75), (5, 100, 10))]
    walls += [((0, y, 60), (5, w, 15)) for y, w in ((0, 20), (30, 40), (80, 20))]
    walls += [((95, y, 60), (5, w, 15)) for y, w in ((0, 20), (30, 40), (80, 20))]
    found = held(
        crate=("-z", *walls),
        load=("+z", ((10, 10, 5), (80, 80, 40))),
        lid=("+z", ((5, 0, 50), (90, 100, 10))),
        front=("[+x, -x]", ((-10, 20, 60), (120, 10, 15))),
        back=("[+x, -x]", ((-10, 70, 60), (120, 10, 15))),
    )
    assert found["lid"] == ["back", "front"]
    assert found["load"] == ["back", "front", "lid"]
    assert "front" not in found
    assert "back" not in found
    assert found["crate"] == ["back", "front"]


def test_the_ball_point_pen():
    """Bourjault's ball-point pen, as De Fazio & Whitney (IEEE Robotics and Automation 3), 1987, from memory.

    Cap, head, body, ink, tube, button, along one axis: the tube with its ink sits on the head inside the
    body, the cap over the head, the button in the body's other end. The head closes the tube.
    """
    tube = [((10, -3, z), (70, 6, 1)) for z in (-3, 2)] + [((10, y, -2), (70, 1, 4)) for y in (-3, 2)]
    body = [((10, -8, z), (100, 16, 2)) for z in (-8, 6)] + [((10, y, -6), (100, 2, 12)) for y in (-8, 6)]
    cap = [((-20, -10, -10), (5, 20, 20)), ((-15, -10, 8), (45, 20, 2)), ((-15, -10, -10), (45, 20, 2))]
    found = held(
        cap=("-x", *cap),
        head=("-x", ((0, -8, -8), (10, 16, 16))),
        tube=("[-x, +x]", *tube),
        ink=("-x", ((10, -2, -2), (60, 4, 4))),
        body=("+x", *body),
        button=("+x", ((105, -6, -6), (15, 12, 12))),
    )
    assert found["head"] == ["cap"]
    assert found["ink"] == ["cap", "head"]
    assert found["tube"] == ["button|cap", "button|head"]
    assert "cap" not in found
    assert "button" not in found


def test_cap_stick_receptacle_and_handle():
    """Homem de Mello & Sanderson, IEEE Transactions on Robotics and Automation 6 (1990), from memory.

    A stick lies in the receptacle between the cap on its one end and the handle on its other: it comes out on
    the side of the one that is off, and either may be the first.
    """
    tube = [((0, -10, z), (60, 20, 2)) for z in (-10, 8)] + [((0, y, -8), (60, 2, 16)) for y in (-10, 8)]
    found = held(
        cap=("-x", ((-20, -10, -10), (20, 20, 20))),
        stick=("[-x, +x]", ((0, -8, -8), (60, 16, 16))),
        receptacle=("[-x, +x]", *tube),
        handle=("+x", ((60, -10, -10), (50, 20, 20))),
    )
    assert found == {"stick": ["cap|handle"], "receptacle": ["cap|handle"]}


def test_the_blocking_graph_of_three_blocks_in_a_plane():
    """A non-directional blocking graph, Wilson & Latombe (1994), from memory: one graph for each direction.

    Two blocks side by side under a third one: to the right only the left one is held, by the right one; up,
    both by the upper one; down, that by both; up and to the right by 1 in 3, all that holds either way.
    """
    blocks = {"left": ((0, 0, 0), (40, 10, 20)), "right": ((40, 0, 0), (40, 10, 20))}
    blocks["over"] = ((20, 0, 20), (40, 10, 20))
    graphs = {
        way: held(**{name: (way, box) for name, box in blocks.items()})
        for way in ("+x", "+z", "-z", "[3, 0, 1]")
    }
    assert graphs["+x"] == {"left": ["right"]}
    assert graphs["+z"] == {"left": ["over"], "right": ["over"]}
    assert graphs["-z"] == {"over": ["left", "right"]}
    assert graphs["[3, 0, 1]"] == {"left": ["over", "right"], "right": ["over"]}


@pytest.mark.parametrize("way", ["+x", "[2, 1, 0]", "[-1, 3, 0]"])
def test_rectangles_come_apart_one_by_one_in_any_direction(way):
    """Guibas & Yao, "On translating a set of rectangles", 1983, from memory."""
    rng = random.Random(way)
    for _ in range(counts(quick=2, landing=10, nightly=100)):
        taken, boxes = set(), {}
        for number in range(30):
            x, y, a, b = rng.randrange(12), rng.randrange(12), rng.randrange(1, 5), rng.randrange(1, 5)
            cells = {(i, j) for i in range(x, x + a) for j in range(y, y + b)}
            if taken.isdisjoint(cells):
                taken |= cells
                boxes[f"r{number}"] = (way, ((10 * x, 10 * y, 0), (10 * a, 10 * b, 10)))
        waits = held(**boxes)
        left = set(boxes)
        while free := {name for name in left if left.isdisjoint(waits.get(name, ()))}:
            left -= free
        assert left == set()
        assert waits
