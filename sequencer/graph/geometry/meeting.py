"""Whether a skin of triangles, moved along a way, is stopped by another.

Measured on one core, two cylinders of 2,000 triangles: this 4 ms a pair; FCL's continuous collision 168 ms,
and it takes a shaft in its bore for stuck, as their facets cross; manifold3d sweeps in 41 ms and cuts in
5 ms, with the same fault. Neither knows what only touches. So the pieces are cut in the plane, by Shapely.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from sequencer.graph.geometry.planes import Floats, Numbers, Pieces
from sequencer.graph.geometry.shapes import Faces, Facing, Shape, Way, across

MEASURED_TO = 10.0
"""How deep bodies may overlap along a way and still only touch, in mm, if no more than a third of either."""

_FACES, _MOST_FACES = 8, 2_048
"""Faces that are tried at first, the largest, and at once: most of what is met is met by the first few."""

_PAIRS, _MOST_PAIRS = 48, 3_000
"""Pairs of faces that are cut at first, and at once."""

_SLIVER = 0.04
"""No sliver of a round hole is wider, area over circumference, by its body's size: an octagon's is 0.02."""

_LOOKS = 24
"""Places at which it is looked how deep two bodies overlap."""


def stopped(moving: Shape, still: Shape, way: Way, length: float, offset: Floats, tolerance: float) -> bool:
    """Whether ``moving``, from ``offset`` on so far along a way, is stopped by ``still``; lengths in mm.

    What only touches doesn't stop, nor what overlaps across the way by no more than ``tolerance``. Along the
    way an overlap that is an error of measuring is contact, and stops; where it is deeper, the shapes are
    too rough to tell.
    """
    asked = (still, way, length, *offset.tolist(), tolerance)
    if asked not in moving.stopped:
        moving.stopped[asked] = _stopped(
            moving.facing(way), still.facing(way), across(way) @ offset, length, tolerance
        )
    return moving.stopped[asked]


def _stopped(mine: Facing, theirs: Facing, by: Floats, length: float, tolerance: float) -> bool:
    if _wide(_pieces(mine.ahead, theirs.back, by, (-tolerance, length)), tolerance):
        return True
    deep = _pieces(mine.ahead, theirs.back, by, (-MEASURED_TO, -tolerance))
    return any(
        one.ahead <= min(one.behind, one.touching) for one in _depths(mine, theirs, by, deep, tolerance)
    )


def inside_by(one: Shape, other: Shape, tolerance: float) -> bool:
    """Whether two bodies lie inside each other as fitted, deeper along each axis than they may to touch."""
    for way in ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)):
        mine, theirs = one.facing(way), other.facing(way)
        by = np.zeros(3)
        deep = _pieces(mine.ahead, theirs.back, by, (-math.inf, -tolerance))
        depths = _depths(mine, theirs, by, deep, tolerance)
        if not any(min(one.ahead, one.behind) > max(tolerance, one.touching) for one in depths):
            return False
    return True


def _pieces(moving: Faces, still: Faces, by: Floats, between: tuple[float, float]) -> Iterator[Pieces]:
    """The places of the plane where a moved face lies so far before a still one, the largest first.

    Yields arrays of Shapely's polygons, none of them empty.
    """
    if not (len(moving.flat) and len(still.flat)):
        return
    mine, theirs = moving.flats, still.flats
    low, high = mine.low + by, mine.high + by
    least, most = between
    lowest, highest = theirs.around
    near = ((low < highest) & (lowest < high))[:, :2].all(axis=1)
    near &= (highest[2] - low[:, 2] > least) & (lowest[2] - high[:, 2] < most)
    ours = np.flatnonzero(near)
    begin, count = 0, _FACES
    while begin < len(ours):
        some = ours[begin : begin + count]
        one, other = theirs.tree.query(shapely.box(*low[some, :2].T, *high[some, :2].T))
        one = some[one]
        kept = (theirs.high[other, 2] - low[one, 2] > least) & (theirs.low[other, 2] - high[one, 2] < most)
        one, other = one[kept], other[kept]
        common = (np.minimum(high[one], theirs.high[other]) - np.maximum(low[one], theirs.low[other]))[:, :2]
        order = np.argsort(-common.min(axis=1), kind="stable")
        ends = [0, _PAIRS, *range(_MOST_PAIRS, len(order) + _MOST_PAIRS, _MOST_PAIRS)]
        for first, last in pairwise(ends):
            if first < len(order):
                yield _cut(moving, still, by, between, one[order[first:last]], other[order[first:last]])
        begin, count = begin + count, min(16 * count, _MOST_FACES)


def _cut(
    moving: Faces, still: Faces, by: Floats, between: tuple[float, float], one: Numbers, other: Numbers
) -> Pieces:
    """Pairs of faces, cut to where the second is so far ahead; slivers of round holes are cut away."""
    mine, theirs = moving.flats, still.flats
    moved = shapely.transform(mine.pieces[one], lambda at: at + by[:2])
    pieces = shapely.intersection(moved, theirs.pieces[other])
    gap = theirs.slopes[other] - mine.slopes[one]
    gap[:, 2] += (mine.slopes[one, :2] * by[:2]).sum(axis=1) - by[2]
    low, high = mine.low[one, :2] + by[:2], mine.high[one, :2] + by[:2]
    middle, span = (low + high) / 2, (high - low).max(axis=1) * 2 + 1.0
    for sign, limit in ((1.0, between[0]), (-1.0, between[1])):
        if math.isinf(limit):
            continue
        slope = gap[:, :2] * sign
        steep = np.linalg.norm(slope, axis=1)
        beyond = (gap[:, :2] * middle).sum(axis=1) * sign + gap[:, 2] * sign - limit * sign
        # a face that is level with the other one is there as a whole, or not at all
        distance = np.where(steep > 1e-9, beyond / np.maximum(steep, 1e-9), np.copysign(math.inf, beyond))
        pieces[distance < -span] = None
        cut = np.flatnonzero(np.abs(distance) <= span)
        pieces[cut] = shapely.intersection(
            pieces[cut], _halves(middle[cut], slope[cut] / steep[cut, None], distance[cut], span[cut])
        )
    size = max((flats.around[1] - flats.around[0])[:2].max() for flats in (mine, theirs))
    if not (shapely.area(pieces) > _SLIVER * size * shapely.length(pieces)).any():
        _true_up(pieces, moving, one, by[:2])
        _true_up(pieces, still, other, np.zeros(2))
    return np.asarray(pieces[shapely.area(pieces) > 1e-9])


def _true_up(pieces: Pieces, faces: Faces, numbers: Numbers, by: Floats) -> None:
    """Cut from pieces of some faces what a true round hole lacks of them."""
    for along, depth, sliver in faces.slivers:
        margin = 3 * depth + 0.1
        low, high = faces.flats.low[numbers, 2], faces.flats.high[numbers, 2]
        rows = (low - margin < along) & (along < high + margin)
        rows &= shapely.area(pieces) > 0
        if rows.any():
            pieces[rows] = shapely.difference(pieces[rows], shapely.transform(sliver, lambda at: at + by))


def _halves(middle: Floats, ahead: Floats, distance: Floats, span: Floats) -> Pieces:
    """Squares that cover, of a plane, what lies beyond a line so far behind a place."""
    edge = middle - ahead * distance[:, None]
    beside = np.column_stack([-ahead[:, 1], ahead[:, 0]]) * (3 * span[:, None])
    deep = ahead * (6 * span[:, None])
    squares: Pieces = shapely.polygons(
        np.stack([edge - beside, edge + beside, edge + beside + deep, edge - beside + deep], axis=1)
    )
    return squares


def _wide(pieces: Iterator[Pieces], tolerance: float) -> bool:
    """Whether a disc as wide as the tolerance fits into all the pieces together."""
    slivers = []
    for some in pieces:
        if (shapely.area(some) >= shapely.length(some) * tolerance / 2).any():
            return True  # of convex pieces the inscribed radius is at least area over circumference
        slivers.append(some)
    every = np.concatenate(slivers) if slivers else np.empty(0)
    if shapely.area(every).sum() < math.pi * tolerance * tolerance / 4:
        return False
    return not shapely.is_empty(shapely.buffer(shapely.union_all(every, grid_size=1e-6), -tolerance / 2))


@dataclass(frozen=True)
class _Depth:
    """How deep two bodies overlap at a place: out of each other ``ahead``, or ``behind``; the thinner one."""

    ahead: float
    behind: float
    thinner: float

    @property
    def touching(self) -> float:
        """So deep they only touch."""
        return min(MEASURED_TO, self.thinner / 3)


def _depths(
    mine: Facing, theirs: Facing, by: Floats, pieces: Iterator[Pieces], tolerance: float
) -> Iterator[_Depth]:
    """How deep two bodies overlap along the way, at the widest places of each batch."""
    for some in pieces:
        wide = shapely.area(some) / np.maximum(shapely.length(some), 1e-9)
        best = np.argsort(-wide)[:_LOOKS]
        for piece in some[best[wide[best] >= tolerance / 2]]:
            yield from _depths_at(mine, theirs, by, np.array(shapely.point_on_surface(piece).coords[0]))


def _depths_at(mine: Facing, theirs: Facing, by: Floats, at: Floats) -> Iterator[_Depth]:
    begins, ends = (faces.over(at - by[:2]) + by[2] for faces in (mine.back, mine.ahead))
    lows, highs = theirs.back.over(at), theirs.ahead.over(at)
    for end in ends:
        begin = begins[begins < end].max(initial=-math.inf)
        for low in lows[lows < end]:
            high = highs[highs > low].min(initial=math.inf)
            if high > begin:
                yield _Depth(end - low, high - begin, min(end - begin, high - low))
