"""Sweeps against checks that share nothing with them: another formula, and volumes by trimesh."""

import random
from fractions import Fraction

import numpy as np
import pytest

from sequencer.graph.geometry.sweep import (
    UNITS,
    hit_on_a_move,
    line_hits,
    overlapping,
    rod_hits,
)
from sequencer.graph.geometry.tooling import way_of
from sequencer.machine.facts.frame import WAYS
from tests.support.profile import before_landing, counts

PAIRS = counts(quick=2_000, nightly=10_000)
FAR = 1000  # farther than any of the random boxes reaches


def boxes(rng, count):
    """Boxes on a coarse grid, so that many only touch."""
    low = np.array([[rng.randrange(-6, 6) for _ in range(3)] for _ in range(count)], dtype=np.int64)
    return low, low + np.array(
        [[rng.randrange(1, 5) for _ in range(3)] for _ in range(count)], dtype=np.int64
    )


def swept_hull_meets(low, high, shift, other_low, other_high):
    """Whether a box moved by ``shift`` meets another: the Minkowski sum of the other with the mirrored box is
    a box, and the segment of the move is clipped to its inside (Liang & Barsky, "A new concept and method for
    line clipping", ACM Transactions on Graphics 3 (1984) 1-22). Python fractions throughout.
    """
    begin, end = Fraction(0), Fraction(1)
    inside = [
        (Fraction(b) - d, Fraction(e) - c)
        for b, e, c, d in zip(other_low, other_high, low, high, strict=True)
    ]
    for (least, most), step in zip(inside, shift, strict=True):
        for bound, sign in ((least, 1), (most, -1)):
            if step == 0:
                if not sign * -bound > 0:
                    return False
            elif sign * step > 0:
                begin = max(begin, Fraction(bound, step))
            else:
                end = min(end, Fraction(bound, step))
    if begin > end:
        return False
    middle = (begin + end) / 2
    return all(least < step * middle < most for (least, most), step in zip(inside, shift, strict=True))


def test_random_pairs_on_their_way_out_agree_with_the_minkowski_sum():
    rng = random.Random(5)
    low, high = boxes(rng, PAIRS)
    other_low, other_high = boxes(rng, PAIRS)
    disagree, hits = 0, 0
    for n in range(PAIRS):
        way = rng.choice(list(WAYS))
        axis, sign = way_of(way)
        shift = tuple(FAR * sign if a == axis else 0 for a in range(3))
        one = [row[n : n + 1] for row in (low, high, other_low, other_high)]
        found = bool(hit_on_a_move(*one, shift)[0, 0])
        hits += found
        disagree += found != swept_hull_meets(low[n], high[n], shift, other_low[n], other_high[n])
    print(f"{PAIRS} pairs, {hits} hits, {disagree} disagreements")
    assert disagree == 0
    assert PAIRS // 20 < hits < PAIRS // 2


def test_random_pairs_on_slanted_moves_agree_with_the_minkowski_sum():
    rng = random.Random(6)
    low, high = boxes(rng, PAIRS)
    other_low, other_high = boxes(rng, PAIRS)
    disagree, hits = 0, 0
    for n in range(PAIRS):
        shift = tuple(rng.randrange(-9, 10) for _ in range(3))
        one = [row[n : n + 1] for row in (low, high, other_low, other_high)]
        found = bool(hit_on_a_move(*one, shift)[0, 0])
        hits += found
        disagree += found != swept_hull_meets(low[n], high[n], shift, other_low[n], other_high[n])
    print(f"{PAIRS} pairs, {hits} hits, {disagree} disagreements")
    assert disagree == 0
    assert PAIRS // 20 < hits < PAIRS // 2


@before_landing
def test_hits_are_those_where_scipy_finds_a_common_volume_with_the_swept_hull():
    """The hull of a box at both ends of its move, and the other box, as half-spaces: do they share an inside?

    The hull is trimesh's; the deepest point of both is found by scipy's linear programming (Chebyshev centre,
    Boyd & Vandenberghe, "Convex Optimization", 2004, section 8.5.1). Inside by nothing is touching.
    """
    trimesh = pytest.importorskip("trimesh")
    optimize = pytest.importorskip("scipy.optimize")
    rng, hits = random.Random(7), 0
    tries = counts(quick=40, landing=50, nightly=400)
    for _ in range(tries):
        (low,), (high,) = boxes(rng, 1)
        (other_low,), (other_high,) = boxes(rng, 1)
        shift = tuple(rng.randrange(-9, 10) for _ in range(3))
        ends = [trimesh.creation.box(bounds=[low + by, high + by]).vertices for by in (0, np.array(shift))]
        hull = trimesh.convex.convex_hull(np.concatenate(ends))
        normals = np.concatenate([hull.face_normals, np.eye(3), -np.eye(3)])
        offsets = np.concatenate(
            [(hull.face_normals * hull.triangles[:, 0]).sum(axis=1), other_high, -other_low]
        )
        rows = np.hstack([normals, np.ones((len(normals), 1))])
        deepest = optimize.linprog([0, 0, 0, -1], rows, offsets, bounds=[(None, None)] * 4)
        found = bool(hit_on_a_move(low[None], high[None], other_low[None], other_high[None], shift)[0, 0])
        hits += found
        assert found == (deepest.x[3] > 1e-7)
    assert tries // 20 < hits < tries - tries // 20


def test_faces_that_touch_do_not_collide():
    a = np.array([[0, 0, 0]], dtype=np.int64), np.array([[10, 10, 10]], dtype=np.int64)
    beside = np.array([[10, 0, 0]], dtype=np.int64), np.array([[20, 10, 30]], dtype=np.int64)
    assert not overlapping(*a, *beside).any()
    assert not hit_on_a_move(*a, *beside, (0, 0, FAR)).any()
    assert hit_on_a_move(*a, *beside, (FAR, 0, 0)).all()
    assert not hit_on_a_move(*a, *beside, (-FAR, 0, 0)).any()


def test_a_line_in_a_face_touches_and_one_millionth_of_a_millimetre_inside_hits():
    box = np.array([[0, 0, 0]], dtype=np.int64) * UNITS, np.array([[10, 10, 10]], dtype=np.int64) * UNITS
    assert not line_hits((0, 5 * UNITS, -5 * UNITS), 2, 1, Fraction(20 * UNITS), *box).any()
    assert line_hits((1, 5 * UNITS, -5 * UNITS), 2, 1, Fraction(20 * UNITS), *box).all()
    assert not line_hits((1, 5 * UNITS, -5 * UNITS), 2, 1, Fraction(5 * UNITS), *box).any()
    assert line_hits((1, 5 * UNITS, -5 * UNITS), 2, 1, Fraction(5 * UNITS) + Fraction(1, 3), *box).all()
    assert not line_hits((1, 5 * UNITS, 15 * UNITS), 2, -1, Fraction(5 * UNITS), *box).any()
    assert line_hits((1, 5 * UNITS, 15 * UNITS), 2, -1, Fraction(5 * UNITS) + Fraction(1, 3), *box).all()


def test_a_rod_touches_at_its_radius_and_hits_within_it():
    box = np.array([[30, 40, 0]], dtype=np.int64), np.array([[60, 60, 10]], dtype=np.int64)
    assert not rod_hits((0, 0, -5), 2, 1, (0, 20), 50, *box).any()  # 3-4-5: it touches the edge
    assert rod_hits((0, 0, -5), 2, 1, (0, 20), 51, *box).all()
    assert not rod_hits((0, 0, -5), 2, 1, (0, 5), 51, *box).any()  # its end touches
    assert rod_hits((0, 0, 15), 2, -1, (0, 6), 51, *box).all()
    assert not rod_hits((0, 0, 15), 2, -1, (15, 30), 51, *box).any()  # it begins behind it
    assert rod_hits((40, 50, -5), 2, 1, (0, 20), 0, *box).all()  # as thin as a line


@before_landing
def test_a_rod_hits_where_points_of_it_are_inside():
    rng, hit = np.random.default_rng(8), 0
    chance = random.Random(8)
    for _ in range(counts(quick=300, nightly=3_000)):
        (low,), (high,) = boxes(chance, 1)
        spot = tuple(chance.randrange(-8, 9) for _ in range(3))
        radius, length = chance.randrange(1, 7), chance.randrange(1, 12)
        told = rod_hits(spot, 2, 1, (0, length), radius, low[None], high[None]).all()
        turn, out = rng.random(4_000) * 2 * np.pi, radius * np.sqrt(rng.random(4_000))
        points = np.stack(
            [
                spot[0] + out * np.cos(turn),
                spot[1] + out * np.sin(turn),
                spot[2] + length * rng.random(4_000),
            ],
            axis=1,
        )
        sampled = ((low < points) & (points < high)).all(axis=1).any()
        assert told or not sampled
        if told and not sampled:  # a sliver that no point fell into
            nearest = np.clip(spot[:2], low[:2], high[:2])
            assert np.hypot(*(nearest - spot[:2])) < radius
        hit += told
    assert hit > 15
