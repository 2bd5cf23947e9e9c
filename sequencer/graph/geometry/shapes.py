"""Skins of triangles, as they are met along a way: the faces that lead, and those that they run into.

Along a way a body can only be stopped where one of its faces that look ahead meets a face of another that
looks back. Both are flat pieces over the plane across the way, so the place where they meet is a piece of
that plane, exact: no grid, no step. Faces along the way stop nothing, which is why a shaft slides in a bore.

A round hole comes as a polygon through points of the circle, so its material is drawn too large by a sliver
at each chord. Where the edges of a face lie on a circle around a hole, those slivers are cut away again:
else a shaft of other facets would stick in a bore that it fits.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import shapely

Floats = npt.NDArray[np.float64]
Way = tuple[float, float, float]
"""A direction of length one."""

LEVEL = 1e-4
"""Faces within this sine of a way lie along it: a tenth of a millimetre on a metre."""

_SHARPEST = np.radians(46)
"""Edges that turn more sharply than an octagon's are corners, and no circle."""

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
    """Triangles over the plane across a way: ``flat`` there (n, 3, 2), and how far ``along`` it (n, 3)."""

    flat: Floats
    along: Floats

    @cached_property
    def flats(self) -> Flats:
        """The same with what lies in one plane put together: a disc of a thousand triangles is one piece."""
        import shapely

        slopes = _slopes(self.flat, self.along)
        levels = np.rint(slopes * (1e5, 1e5, 1e3)).astype(np.int64)
        _, first, number = np.unique(levels, axis=0, return_index=True, return_inverse=True)
        order = np.argsort(number := number.ravel(), kind="stable")
        triangles = shapely.polygons(self.flat[order])
        begins = np.flatnonzero(np.diff(number[order], prepend=-1))
        pieces = [
            some[0] if len(some) == 1 else shapely.union_all(some, grid_size=1e-6)
            for some in np.split(triangles, begins[1:])
        ]
        parts, whose = shapely.get_parts(np.array(pieces, dtype=object), return_index=True)
        slope = slopes[first][whose]
        low, high = shapely.bounds(parts).reshape(-1, 2, 2).swapaxes(0, 1)
        ends = np.array([[along.min(), along.max()] for along in np.split(self.along[order], begins[1:])])
        ends = ends.reshape(-1, 2)[whose]
        return Flats(parts, slope, np.column_stack([low, ends[:, 0]]), np.column_stack([high, ends[:, 1]]))

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

        found: dict[float, list[tuple[float, Any]]] = {}
        for along, depth, sliver in _chords(self):
            found.setdefault(round(along, 2), []).append((depth, shapely.Polygon(sliver)))
        return tuple(
            (along, max(depth for depth, _ in some), shapely.union_all([one for _, one in some]))
            for along, some in found.items()
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


def _slopes(flat: Floats, along: Floats) -> Floats:
    sides, rise = flat[:, 1:] - flat[:, :1], along[:, 1:] - along[:, :1]
    slope = np.linalg.solve(sides, rise[..., None])[..., 0]
    return np.column_stack([slope, along[:, 0] - (slope * flat[:, 0]).sum(axis=1)])


def _chords(faces: Faces) -> Iterator[tuple[float, float, Floats]]:
    """The slivers between the chords and arcs of round holes: how far along, how deep, the outline."""
    points = np.concatenate([faces.flat, faces.along[..., None]], axis=2).reshape(-1, 3)
    places, number = np.unique(np.rint(points * 1e4).astype(np.int64), axis=0, return_inverse=True)
    number = number.reshape(-1, 3)
    edges = np.stack([number, np.roll(number, -1, axis=1)], axis=2).reshape(-1, 2)
    pairs = {(int(a), int(b)) for a, b in edges}
    sides = faces.flat[:, 1:] - faces.flat[:, :1]
    flipped = len(sides) and (sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0])[0] < 0
    following: dict[int, list[int]] = {}
    for a, b in pairs:
        if (b, a) not in pairs:
            begin, end = (b, a) if flipped else (a, b)
            following.setdefault(begin, []).append(end)
    at = places / 1e4
    one_way = {a: ends[0] for a, ends in following.items() if len(ends) == 1}
    circles = {
        b: circle
        for a, b in one_way.items()
        if b in one_way and (circle := _circle(*(at[n, :2] for n in (a, b, one_way[b])))) is not None
    }
    for a, b in one_way.items():
        if a in circles and b in circles and _same(circles[a], circles[b]):
            yield _sliver(at[a], at[b], (circles[a] + circles[b]) / 2)


def _circle(a: Floats, b: Floats, c: Floats) -> Floats | None:
    """The circle through three places that a hole's edge goes round by: centre and radius; None: no hole."""
    first, second = b - a, c - b
    turn = first[0] * second[1] - first[1] * second[0]
    if turn >= 0 or np.arctan2(-turn, first @ second) > _SHARPEST:  # the material is on the left
        return None
    across = np.array([[first[0], first[1]], [second[0], second[1]]])
    middle = np.linalg.solve(across, np.array([first @ (a + b), second @ (b + c)]) / 2)
    return np.append(middle, np.linalg.norm(middle - b))


def _same(one: Floats, other: Floats) -> bool:
    return bool(np.abs(one - other).max() <= _ROUND * min(one[2], other[2]))


def _sliver(a: Floats, b: Floats, circle: Floats) -> tuple[float, float, Floats]:
    middle, radius = circle[:2], float(circle[2])
    chord = b[:2] - a[:2]
    half = min(1.0, float(np.linalg.norm(chord)) / 2 / radius)
    begin = np.arctan2(*(a[:2] - middle)[::-1])
    turn = np.remainder(np.arctan2(*(b[:2] - middle)[::-1]) - begin + np.pi, 2 * np.pi) - np.pi
    steps = begin + turn * np.linspace(0, 1, 9)
    arc = middle + radius * np.column_stack([np.cos(steps), np.sin(steps)])
    return float(a[2] + b[2]) / 2, radius * (1 - float(np.sqrt(1 - half * half))), arc


@dataclass(frozen=True)
class Facing:
    """A skin along a way: the faces that look ahead, and those that look back."""

    ahead: Faces
    back: Faces


@dataclass(frozen=True, eq=False)
class Shape:
    """A body's skin: ``triangles`` (n, 3, 3) in mm, each wound to look outwards."""

    triangles: Floats
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
                Faces(flat[some, :, :2], flat[some, :, 2]) for some in (slant > LEVEL, slant < -LEVEL)
            )
            self._facing[way] = Facing(ahead, back)
        return self._facing[way]
