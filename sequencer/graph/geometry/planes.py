"""Triangles of a skin put together by the planes that they lie in: a disc of a thousand is one piece.

Where the corners are known, a piece is drawn by its outline, the sides that no two of its triangles share;
Shapely's union of a thousand triangles takes ten times as long. Anything odd is left to Shapely.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import shapely

Floats = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.intp]
Pieces = npt.NDArray[np.object_]
"""Shapely's polygons."""

_FEW = 6
"""So few triangles of one plane are no dearer by themselves."""


@dataclass(frozen=True, eq=False)
class Flats:
    """Flat pieces over the plane across a way.

    Attributes:
        pieces: Shapely's polygons, (k,).
        slopes: How far along the way each is at a place of the plane: a·u + b·v + c, (k, 3).
        low: The least in the plane, and along the way, (k, 3); ``high`` the most.
    """

    pieces: Pieces
    slopes: Floats
    low: Floats
    high: Floats

    @cached_property
    def around(self) -> tuple[Floats, Floats]:
        """The corners of the box around all of them."""
        return self.low.min(axis=0), self.high.max(axis=0)

    @cached_property
    def tree(self) -> shapely.STRtree:
        """To find them by their place in the plane."""
        import shapely

        return shapely.STRtree(self.pieces)


def flats_of(flat: Floats, along: Floats, corners: Numbers | None) -> Flats:
    """Triangles over a plane (n, 3, 2), so far along a way (n, 3), put together; the largest piece first.

    ``corners`` (n, 3) number their points, the same for the same point; None: not known.
    """
    import shapely

    slopes = slopes_of(flat, along)
    levels = np.rint(slopes * (1e5, 1e5, 1e3)).astype(np.int64)
    order = np.lexsort(levels.T)
    new = (np.diff(levels[order], axis=0, prepend=levels[order][:1] - 1) != 0).any(axis=1)
    plane = np.empty(len(order), dtype=np.intp)
    plane[order] = np.cumsum(new) - 1
    pieces, of = _pieces(flat, plane, corners)
    largest = np.argsort(-shapely.area(pieces), kind="stable")
    pieces, of = pieces[largest], of[largest]
    begins = np.flatnonzero(new)
    least = np.minimum.reduceat(along.min(axis=1)[order], begins)[of] if len(order) else np.empty(0)
    most = np.maximum.reduceat(along.max(axis=1)[order], begins)[of] if len(order) else np.empty(0)
    bounds = shapely.bounds(pieces).reshape(-1, 4)
    low, high = np.column_stack([bounds[:, :2], least]), np.column_stack([bounds[:, 2:], most])
    return Flats(pieces, slopes[order[begins]][of], low, high)


def _pieces(flat: Floats, plane: Numbers, corners: Numbers | None) -> tuple[Pieces, Numbers]:
    """The pieces of all planes, and the plane of each; ``plane`` is that of each triangle."""
    import shapely

    many = np.bincount(plane) >= _FEW
    left = ~many[plane]
    pieces, owners = [shapely.polygons(flat[left])], [plane[left]]
    if corners is not None and not left.all():
        drawn, of, many = _outlined(flat[~left], plane[~left], corners[~left])
        pieces.append(drawn)
        owners.append(of)
    for number in np.flatnonzero(many):
        pieces.append(shapely.get_parts(_together(shapely.polygons(flat[plane == number]))))
        owners.append(np.full(len(pieces[-1]), number))
    return np.concatenate(pieces), np.concatenate(owners)


def _outlined(
    flat: Floats, plane: Numbers, corners: Numbers
) -> tuple[Pieces, Numbers, npt.NDArray[np.bool_]]:
    """Pieces by their outlines, the plane of each, and of which planes the outlines do not say."""
    import shapely

    points, many = int(corners.max()) + 1, int(plane.max()) + 1
    rings = _rings(corners + points * plane[:, None], points)
    if not rings:
        return np.empty(0, dtype=object), np.empty(0, dtype=np.intp), np.bincount(plane) > 0
    at = np.zeros((points, 2))
    at[corners.ravel()] = flat.reshape(-1, 2)
    owner = np.array([ring[0] for ring in rings], dtype=np.intp) // points
    along = np.array([place for ring in rings for place in ring], dtype=np.intp) % points
    drawn = shapely.linearrings(at[along], indices=np.repeat(np.arange(len(rings)), list(map(len, rings))))
    alone = shapely.polygons(drawn)
    sides = flat[:, 1:] - flat[:, :1]
    twice = sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]
    hole = shapely.is_ccw(drawn) != (twice.sum() > 0)
    full, area = np.bincount(plane, np.abs(twice) / 2), shapely.area(alone) * np.where(hole, -1, 1)
    holes, shells = (np.bincount(owner[some], minlength=many) for some in (hole, ~hole))
    odd = np.abs(np.bincount(owner, area, minlength=many) - full) > 1e-6 * full
    odd |= (np.bincount(owner[~shapely.is_valid(alone)], minlength=many) > 0) | ((holes > 0) & (shells != 1))
    plain = ~odd[owner] & (holes[owner] == 0)
    pierced = np.flatnonzero(~odd & (holes > 0))
    pieces = [
        shapely.polygons(drawn[(owner == number) & ~hole][0], holes=drawn[(owner == number) & hole])
        for number in pierced
    ]
    every = np.concatenate([alone[plain], np.array(pieces, dtype=object)])
    return every, np.concatenate([owner[plain], pierced]), odd


def _rings(triangles: Numbers, points: int) -> list[list[int]]:
    """The outlines of triangles that meet edge to edge, by corners; not all of them, where they don't."""
    begin, end = np.stack([triangles, np.roll(triangles, -1, axis=1)]).reshape(2, -1)
    outline = ~np.isin(begin * points + end % points, end * points + begin % points)
    following = dict(zip(begin[outline].tolist(), end[outline].tolist(), strict=True))
    found = []
    while following:
        start, corner = following.popitem()
        ring = [start]
        while corner in following:
            ring.append(corner)
            corner = following.pop(corner)
        if corner == start and len(ring) > 2:
            found.append(ring)
    return found


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


def slopes_of(flat: Floats, along: Floats) -> Floats:
    """How far along the way each triangle is at a place of the plane: a·u + b·v + c, (n, 3)."""
    sides, rise = flat[:, 1:] - flat[:, :1], along[:, 1:] - along[:, :1]
    slope = np.linalg.solve(sides, rise[..., None])[..., 0]
    return np.column_stack([slope, along[:, 0] - (slope * flat[:, 0]).sum(axis=1)])
