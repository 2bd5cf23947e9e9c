"""Skins of triangles, as they are met along a way: the faces that lead, and those that they run into.

Along a way a body can only be stopped where one of its faces that look ahead meets a face of another that
looks back. Both are flat pieces over the plane across the way, so the place where they meet is a piece of
that plane, exact: no grid, no step. Faces along the way stop nothing, which is why a shaft slides in a bore.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any

import numpy as np

from sequencer.graph.geometry.planes import Flats, Floats, Numbers, flats_of, slopes_of
from sequencer.graph.geometry.rounds import chords_of

Way = tuple[float, float, float]
"""A direction of length one."""

LEVEL = 1e-4
"""Faces within this sine of a way lie along it: a tenth of a millimetre on a metre."""


@cache
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
        """The same with what lies in one plane put together."""
        return flats_of(self.flat, self.along, self.corners)

    def over(self, place: Floats) -> Floats:
        """How far along the way each face is that lies over a place of the plane."""
        near = ((self.flat.min(axis=1) <= place) & (place <= self.flat.max(axis=1))).all(axis=1)
        corners = self.flat[near] - place
        following = np.roll(corners, -1, axis=1)
        turn = corners[..., 0] * following[..., 1] - corners[..., 1] * following[..., 0]
        inside = (turn >= 0).all(axis=1) | (turn <= 0).all(axis=1)
        slopes = slopes_of(self.flat[near][inside], self.along[near][inside])
        return np.unique((slopes @ np.append(place, 1.0)).round(6))

    @cached_property
    def slivers(self) -> tuple[tuple[float, float, Any], ...]:
        """What a true round hole lacks of these faces: how far along the way, how deep, and the pieces."""
        import shapely

        if self.corners is None:
            return ()
        along, depth, outlines = chords_of(self.flat, self.along, self.corners)
        pieces, level = shapely.polygons(outlines), along.round(2)
        return tuple(
            (float(here), float(depth[level == here].max()), shapely.union_all(pieces[level == here]))
            for here in np.unique(level)
        )


@dataclass(frozen=True)
class Facing:
    """A skin along a way: the faces that look ahead, and those that look back."""

    ahead: Faces
    back: Faces


@dataclass(frozen=True, eq=False)
class Shape:
    """A body's skin: ``triangles`` (n, 3, 3) in mm, wound to look outwards; ``corners`` as of ``Faces``.

    ``stopped`` keeps what it was found to be stopped by, and what not.
    """

    triangles: Floats
    corners: Numbers | None = None
    stopped: dict[object, bool] = field(default_factory=dict)
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
