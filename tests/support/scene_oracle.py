"""What can leave, and which bolt can be reached, among boxes: an independent sweep, half a unit a step.

Written from the format page; it shares no code with the program. Boxes stand on a lattice of whole units, so
what moves along an axis overlaps something at a half step if it does at all, and a lift need only be a whole
number of units. A 13 mm socket is 18.9 mm across for 40 mm, and its bar 16 mm beyond.
"""

import random
from dataclasses import dataclass, field, replace

UNIT = 10
SIDE = 12
AWAY = 2 * SIDE
WAYS = {"+x": (0, 1), "-x": (0, -1), "+y": (1, 1), "-y": (1, -1), "+z": (2, 1), "-z": (2, -1)}


@dataclass
class Thing:
    """A part: its boxes (corner, corner) in units, its ways out, and where its bolt's head is."""

    boxes: list
    ways: list
    bolt: tuple
    axis: str
    reach: int
    name: str = field(default="")


def scene(number, parts):
    """Parts by chance that do not overlap: invented, by number."""
    rng, things = random.Random(number), []
    while len(things) < parts:
        boxes = []
        for _ in range(rng.choice([1, 1, 1, 2])):
            low = tuple(rng.randrange(SIDE - 3) for _ in range(3))
            boxes.append((low, tuple(n + rng.randrange(1, 5) for n in low)))
        if any(_overlap(a, b, (0, 0, 0)) for other in things for a in boxes for b in other.boxes):
            continue
        (x, y, z), (a, b, c) = boxes[0]
        axis = rng.choice(list(WAYS))
        along, sign = WAYS[axis]
        middle = [(x + a) / 2, (y + b) / 2, (z + c) / 2]
        middle[along] = (a, b, c)[along] if sign > 0 else (x, y, z)[along]
        ways = rng.sample(list(WAYS), rng.choice([1, 1, 2, 2, 3]))
        things.append(Thing(boxes, ways, tuple(middle), axis, rng.randrange(2, 9), f"p{len(things)}"))
    return things


def written(things):
    """The scene as a machine file."""
    lines = ["machine: boxes by chance", "parts:"]
    for one in things:
        rooms = [
            ([n * UNIT for n in low], [(b - a) * UNIT for a, b in zip(low, high, strict=True)])
            for low, high in one.boxes
        ]
        boxes = ", ".join(f"{{at: {at}, size: {size}}}" for at, size in rooms)
        at = [n * UNIT for n in one.bolt]
        bolt = f"{{kind: bolt, head: 13, at: {at}, axis: {one.axis}, reach: {one.reach * UNIT}}}"
        lines.append(f"  {one.name}: {{box: [{boxes}], out: [{', '.join(one.ways)}], joints: {{b: {bolt}}}}}")
    return "\n".join(lines)


def leaves(thing, others, fitted):
    """Whether a part can leave past some others: straight, or along one of its ways and off by another.

    It is lifted as far as there is room as fitted; for more than that its way is opened straight.
    """
    for first in thing.ways:
        for lift in range(AWAY):
            at = _moved((0, 0, 0), first, lift)
            if lift and not _clear(thing, fitted, _moved(at, first, -0.5)):
                break
            for second in thing.ways:
                if second == first and lift:
                    continue
                steps = (_moved(at, second, (n + 0.5)) for n in range(AWAY))
                if all(_clear(thing, others, there) for there in steps):
                    return True
    return False


def reached(thing, others):
    """Whether the socket comes to a part's bolt past some others."""
    along, sign = WAYS[thing.axis]
    for begin, end, across in ((0, min(40, thing.reach * UNIT), 18.9), (40, thing.reach * UNIT, 16)):
        near, far = sorted(thing.bolt[along] * UNIT + sign * one for one in (begin, end))
        for low, high in (box for other in others for box in other.boxes):
            if begin >= end or not (low[along] * UNIT < far and near < high[along] * UNIT):
                continue
            square = 0.0
            for axis in {0, 1, 2} - {along}:
                spot = thing.bolt[axis] * UNIT
                square += max(low[axis] * UNIT - spot, spot - high[axis] * UNIT, 0) ** 2
            if square < (across / 2) ** 2:
                return False
    return True


def shut(thing):
    """Whether a part's own boxes are in the way of its socket: those a centimetre or more from the head."""
    away = [
        (low, high)
        for low, high in thing.boxes
        if any(spot < a - 1 or spot > b + 1 for spot, a, b in zip(thing.bolt, low, high, strict=True))
    ]
    return not reached(thing, [replace(thing, boxes=away)])


def _moved(at, way, far):
    along, sign = WAYS[way]
    return tuple(n + sign * far * (axis == along) for axis, n in enumerate(at))


def _clear(thing, others, at):
    return not any(_overlap(a, b, at) for other in others for a in thing.boxes for b in other.boxes)


def _overlap(one, other, at):
    (low, high), (other_low, other_high) = one, other
    return all(
        a + by < d and c < b + by for a, b, c, d, by in zip(low, high, other_low, other_high, at, strict=True)
    )
