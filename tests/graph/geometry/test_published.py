"""Assemblies from the literature, from memory: their pieces as boxes, and what holds what there.

Dimensions are our own; only which piece holds which is theirs.
"""

from tests.graph.geometry.test_scenes import relations
from tests.machine.texts import machine

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
