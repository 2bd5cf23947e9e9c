"""What a part sweeps as it tilts, against polygons that are turned in small steps by Shapely."""

import random
from fractions import Fraction

import pytest

from sequencer.graph.geometry.solids import NOWHERE
from sequencer.graph.geometry.sweep import UNITS
from sequencer.graph.geometry.tilts import _Move
from sequencer.machine.facts.frame import Tilt
from tests.support.profile import counts

FAR = 3_000
OFF = {"+y": (1, 0), "-z": (0, -1), "[0, 1, 1]": (0.5**0.5, 0.5**0.5)}


def swept(rectangle, sign, steps, middle, off):
    """What a rectangle covers, y to the right and z up."""
    from shapely import affinity, union_all

    turned = [affinity.rotate(rectangle, sign * step, origin=middle) for step in steps]
    if off:
        y, z = OFF[off]
        turned = [union_all([turned[0], affinity.translate(turned[0], FAR * y, FAR * z)]).convex_hull]
    return union_all(turned)


def test_a_tilt_meets_what_it_sweeps_and_nothing_that_is_clear_of_it():
    """About +x and -x: what is half a millimetre in is met, and nothing that is a tenth away."""
    shapely = pytest.importorskip("shapely")
    rng, met, clear = random.Random(9), 0, 0
    for number in range(counts(quick=200, landing=300, nightly=6_000)):
        low = [rng.randrange(-40, 20) for _ in range(3)]
        high = [one + rng.randrange(5, 60) for one in low]
        other = [rng.randrange(-60, 40) for _ in range(3)]
        end = [one + rng.randrange(5, 50) for one in other]
        about, begin = rng.choice(["+x", "-x"]), rng.randrange(0, 30)
        middle = rng.randrange(-50, 50), rng.randrange(-50, 50)
        tilt = Tilt(about, (Fraction(0), Fraction(middle[0]), Fraction(middle[1])), Fraction(45))
        off = rng.choice([None, *OFF])
        move = _Move(tilt, NOWHERE, (begin,) if off else (begin, begin + 1), off)
        steps = [begin] if off else [begin + step / 20 for step in range(21)]
        covered = swept(shapely.box(*low[1:], *high[1:]), 1 if about == "+x" else -1, steps, middle, off)
        obstacle = shapely.box(*other[1:], *end[1:])
        box, still = (
            tuple([one * UNITS for one in corner] for corner in corners)
            for corners in ((low, high), (other, end))
        )
        if min(high[0], end[0]) <= max(low[0], other[0]) or covered.distance(obstacle) > 0.1:
            assert not move.meets(box, still), number
            clear += 1
        elif covered.intersects(obstacle.buffer(-0.5)):
            assert move.meets(box, still), number
            met += 1
    assert min(met, clear) > 20
