"""Skins of triangles, as they are met along a way: the faces that lead, and those that they run into.

Along a way a body can only be stopped where one of its faces that look ahead meets a face of another that
looks back. Both are flat pieces over the plane across the way, so the place where they meet is a piece of
that plane, exact: no grid, no step. Faces along the way stop nothing, which is why a shaft slides in a bore.

A round hole comes as a polygon through points of the circle, so its material is drawn too large by a sliver
at each chord. Where the edges of a face lie on a circle around a hole, those slivers are cut away again:
else a shaft of other facets would stick in a bore that it fits.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import shapely

Floats = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.intp]
Way = tuple[float, float, float]
"""A direction of length one."""

LEVEL = 1e-4
"""Faces within this sine of a way lie along it: a tenth of a millimetre on a metre."""

_SHARPEST = np.radians(46)
"""Edges that turn more sharply than an octagon's are corners, and no circle."""

_FEW = 6
"""So few triangles of one plane are no dearer by themselves."""

_ROUND = 0.01
"""By how much of the radius circles through neighbouring points may differ and be the same."""


def across(way: Way) -> Floats:
    """The plane across a way: two directions, and the way itself, right-handed, as rows."""
    ahead = np.array(way)
    axis = int(np.abs(ahead).argmin())
    first = np.cross(np.eye(3)[axis], ahead)
    first /= np.linalg.norm(first)
    return np.stack([first, np.cross(ahead, first), ahead])


@dataclass(frozen=True, eq=False)
class Faces:
    """Triangles over the plane across a way: ``flat`` there (n, 3, 2), and how far ``along`` it (n, 3).

    ``corners`` (n, 3) number their points, the same for the same point; None: not known.
    """

    flat: Floats
    along: Floats
    corners: Numbers | None

    @cached_property
    def flats(self) -> Flats:
        """The same with what lies in one plane put together: a disc of a thousand triangles is one piece."""
        import shapely

        slopes = _slopes(self.flat, self.along)
        levels = np.rint(slopes * (1e5, 1e5, 1e3)).astype(np.int64)
        order = np.lexsort(levels.T)
        new = (np.diff(levels[order], axis=0, prepend=levels[order][:1] - 1) != 0).any(axis=1)
        number = np.empty(len(levels), dtype=np.intp)
        number[order] = np.cumsum(new) - 1
        count = np.bincount(number)
        triangles = shapely.polygons(self.flat)
        alone = count[number] < _FEW
        pieces = [triangles[alone]]
        rows = [(slopes[alone], self.along[alone].min(axis=1), self.along[alone].max(axis=1))]
        for plane in np.flatnonzero(count >= _FEW):
            some = number == plane
            parts = shapely.get_parts(_together(triangles[some]))
            along, each = self.along[some], np.ones(len(parts))
            pieces.append(parts)
            rows.append((slopes[some][:1].repeat(len(parts), axis=0), along.min() * each, along.max() * each))
        together = np.concatenate(pieces)
        slope, least, most = (np.concatenate(some) for some in zip(*rows, strict=True))
        bounds = shapely.bounds(together).reshape(-1, 4)
        low, high = np.column_stack([bounds[:, :2], least]), np.column_stack([bounds[:, 2:], most])
        return Flats(together, slope, low, high)

    def over(self, place: Floats) -> Floats:
        """How far along the way each face is that lies over a place of the plane."""
        near = ((self.flat.min(axis=1) <= place) & (place <= self.flat.max(axis=1))).all(axis=1)
        corners = self.flat[near] - place
        following = np.roll(corners, -1, axis=1)
        turn = corners[..., 0] * following[..., 1] - corners[..., 1] * following[..., 0]
        inside = (turn >= 0).all(axis=1) | (turn <= 0).all(axis=1)
        slopes = _slopes(self.flat[near][inside], self.along[near][inside])
        return np.unique((slopes @ np.append(place, 1.0)).round(6))

    @cached_property
    def slivers(self) -> tuple[tuple[float, float, Any], ...]:
        """What a true round hole lacks of these faces: how far along the way, how deep, and the pieces."""
        import shapely

        if self.corners is None:
            return ()
        along, depth, outlines = _chords(self, self.corners)
        pieces, level = shapely.polygons(outlines), along.round(2)
        return tuple(
            (float(here), float(depth[level == here].max()), shapely.union_all(pieces[level == here]))
            for here in np.unique(level)
        )


@dataclass(frozen=True, eq=False)
class Flats:
    """Flat pieces over the plane across a way.

    Attributes:
        pieces: Shapely's polygons, (k,).
        slopes: How far along the way each is at a place of the plane: a·u + b·v + c, (k, 3).
        low: The least in the plane, and along the way, (k, 3); ``high`` the most.
    """

    pieces: Any
    slopes: Floats
    low: Floats
    high: Floats

    @cached_property
    def tree(self) -> shapely.STRtree:
        """To find them by their place in the plane."""
        import shapely

        return shapely.STRtree(self.pieces)


def _together(triangles: npt.NDArray[np.object_]) -> shapely.Geometry:
    """Triangles of one plane as one piece: quickly where they meet edge to edge, as most do."""
    import shapely

    area = shapely.area(triangles).sum()
    try:
        whole = shapely.coverage_union_all(triangles)
    except shapely.errors.GEOSException:  # they overlap
        whole = None
    if whole is not None and shapely.is_valid(whole) and abs(shapely.area(whole) - area) <= 1e-6 * area:
        return whole
    return shapely.union_all(triangles, grid_size=1e-6)


def _slopes(flat: Floats, along: Floats) -> Floats:
    sides, rise = flat[:, 1:] - flat[:, :1], along[:, 1:] - along[:, :1]
    slope = np.linalg.solve(sides, rise[..., None])[..., 0]
    return np.column_stack([slope, along[:, 0] - (slope * flat[:, 0]).sum(axis=1)])


def _chords(faces: Faces, corners: Numbers) -> tuple[Floats, Floats, Floats]:
    """The slivers between the chords and arcs of round holes: how far along, how deep, their outlines."""
    number = corners - corners.min(initial=0)
    at = np.zeros((int(number.max(initial=-1)) + 1, 3))
    at[number.ravel()] = np.concatenate([faces.flat, faces.along[..., None]], axis=2).reshape(-1, 3)
    sides = faces.flat[:, 1:] - faces.flat[:, :1]
    if (sides[:1, 0, 0] * sides[:1, 1, 1] < sides[:1, 0, 1] * sides[:1, 1, 0]).any():
        number = number[:, ::-1]  # of faces that look back; now the material is on the left of each edge
    begin, end = np.stack([number, np.roll(number, -1, axis=1)], axis=2).reshape(-1, 2).T
    outline = ~np.isin(begin * len(at) + end, end * len(at) + begin)
    begin, end = begin[outline], end[outline]
    alone = np.bincount(begin, minlength=len(at)) == 1
    following = np.full(len(at), -1)
    following[begin] = end
    following[~alone] = -1
    first, middle = begin[alone[begin]], end[alone[begin]]
    circle = np.full((len(at), 3), np.nan)
    on = following[middle] >= 0
    circle[middle[on]] = _circles(*(at[some, :2] for some in (first[on], middle[on], following[middle[on]])))
    one, other = circle[first], circle[middle]
    least = np.minimum(one[:, 2], other[:, 2])
    round_ = np.abs(one - other).max(axis=1) <= _ROUND * least  # not so where there is none
    return _slivers(at[first[round_]], at[middle[round_]], (one + other)[round_] / 2)


def _circles(a: Floats, b: Floats, c: Floats) -> Floats:
    """The circles through three places that a hole's edge goes round by: centre and radius; nan: no hole."""
    first, second = b - a, c - b
    turn = first[:, 1] * second[:, 0] - first[:, 0] * second[:, 1]  # to the right, away from the material
    round_ = (turn > 0) & (np.arctan2(turn, (first * second).sum(axis=1)) <= _SHARPEST)
    found = np.full((len(a), 3), np.nan)
    half = np.stack([(first * (a + b)).sum(axis=1), (second * (b + c)).sum(axis=1)], axis=1)[round_] / 2
    middle = np.linalg.solve(np.stack([first, second], axis=1)[round_], half[..., None])[..., 0]
    found[round_] = np.column_stack([middle, np.linalg.norm(middle - b[round_], axis=1)])
    return found


def _slivers(a: Floats, b: Floats, circle: Floats) -> tuple[Floats, Floats, Floats]:
    middle, radius = circle[:, :2], circle[:, 2]
    half = np.minimum(1.0, np.linalg.norm(b[:, :2] - a[:, :2], axis=1) / 2 / radius)
    from_a, from_b = (np.arctan2(*(some[:, :2] - middle).T[::-1]) for some in (a, b))
    turn = np.remainder(from_b - from_a + np.pi, 2 * np.pi) - np.pi
    steps = from_a[:, None] + turn[:, None] * np.linspace(0, 1, 9)
    arc = middle[:, None] + radius[:, None, None] * np.stack([np.cos(steps), np.sin(steps)], axis=2)
    return (a[:, 2] + b[:, 2]) / 2, radius * (1 - np.sqrt(1 - half * half)), arc


@dataclass(frozen=True)
class Facing:
    """A skin along a way: the faces that look ahead, and those that look back."""

    ahead: Faces
    back: Faces


@dataclass(frozen=True, eq=False)
class Shape:
    """A body's skin: ``triangles`` (n, 3, 3) in mm, wound to look outwards; ``corners`` as of ``Faces``."""

    triangles: Floats
    corners: Numbers | None = None
    _facing: dict[Way, Facing] = field(default_factory=dict)

    @classmethod
    def of_boxes(cls, low: Floats, high: Floats) -> Shape:
        """Boxes by their corners, in mm."""
        corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)])
        around = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
        halves = np.array([[a, b, c] for a, b, c, _ in around] + [[a, c, d] for a, _, c, d in around])
        at = low[:, None] + (high - low)[:, None] * corners
        return cls(at[:, halves].reshape(-1, 3, 3))

    @cached_property
    def low(self) -> Floats:
        """The least corner of the box around it; ``high`` the other."""
        return np.asarray(self.triangles.min(axis=(0, 1)))

    @cached_property
    def high(self) -> Floats:
        """The most corner of the box around it."""
        return np.asarray(self.triangles.max(axis=(0, 1)))

    @cached_property
    def normals(self) -> Floats:
        """The outward directions of the triangles, of length one; nought where one has no area."""
        sides = self.triangles[:, 1:] - self.triangles[:, :1]
        out = np.cross(sides[:, 0], sides[:, 1])
        long = np.linalg.norm(out, axis=1, keepdims=True)
        return np.asarray(np.divide(out, long, out=np.zeros_like(out), where=long > 1e-12))

    def facing(self, way: Way) -> Facing:
        """The faces that look along a way, and against it."""
        if way not in self._facing:
            flat = self.triangles @ across(way).T
            slant = self.normals @ np.array(way)
            ahead, back = (
                Faces(
                    flat[some, :, :2],
                    flat[some, :, 2],
                    None if self.corners is None else self.corners[some],
                )
                for some in (slant > LEVEL, slant < -LEVEL)
            )
            self._facing[way] = Facing(ahead, back)
        return self._facing[way]
