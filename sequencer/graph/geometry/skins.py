"""Tools against skins of triangles: a rod about an axis, and the circle that a handle turns in."""

from __future__ import annotations

import math

import numpy as np

from sequencer.graph.geometry.planes import Floats
from sequencer.graph.geometry.shapes import Shape

_A_HAIR = 1e-9


def rod_meets(
    shape: Shape, spot: Floats, axis: int, sign: int, along: tuple[float, float], radius: float
) -> bool:
    """Whether a rod about an axis through ``spot``, so far ``along`` it, meets a body; in mm."""
    begin, end = along
    corners = _seen_from(shape, spot, axis, sign)
    flat, height = corners[..., :2], corners[..., 2]
    near = (height.max(axis=1) > begin) & (height.min(axis=1) < end)
    near &= (flat.min(axis=1) < radius).all(axis=1) & (flat.max(axis=1) > -radius).all(axis=1)
    corners = corners[near]
    pieces = [_levels(corners, level) for level in (begin, end)]
    following = np.roll(corners, -1, axis=1)
    rise = following[..., 2] - corners[..., 2]
    safe = np.where(np.abs(rise) > _A_HAIR, rise, 1.0)
    at = np.stack([(begin - corners[..., 2]) / safe, (end - corners[..., 2]) / safe])
    flatly = np.abs(rise) <= _A_HAIR
    first = np.where(flatly, 0.0, np.clip(at.min(axis=0), 0, 1))[..., None]
    last = np.where(flatly, 1.0, np.clip(at.max(axis=0), 0, 1))[..., None]
    level = (corners[..., 2] > begin) & (corners[..., 2] < end)
    kept = np.where(flatly, level, last[..., 0] > first[..., 0])
    ends = np.stack([corners + first * (following - corners), corners + last * (following - corners)], axis=2)
    pieces.append(ends[kept][..., :2])
    if _nearest(np.concatenate(pieces)).min(initial=math.inf) < radius:
        return True
    pierced, _ = _pierced(corners)
    return bool(((begin < pierced) & (pierced < end)).any()) or _is_inside(shape, spot, axis, sign, begin)


def handle_meets(shape: Shape, centre: Floats, axis: int, radius: float) -> list[tuple[float, float]]:
    """The angles at which a line of that length from ``centre``, across an axis, runs into a body; in mm."""
    lines = _levels(_seen_from(shape, centre, axis, 1), 0.0)
    begin, along = lines[:, 0], lines[:, 1] - lines[:, 0]
    square = (along**2).sum(axis=1)
    half = (begin * along).sum(axis=1)
    under = half**2 - square * ((begin**2).sum(axis=1) - radius * radius)
    within = (under > 0) & (square > _A_HAIR)
    begin, along, half, square = begin[within], along[within], half[within], square[within]
    root = np.sqrt(under[within])
    first, last = (np.clip((-half + sign * root) / square, 0, 1) for sign in (-1, 1))
    found = []
    for start, step, a, b in zip(begin, along, first, last, strict=True):
        if a < b:
            p, q = start + a * step, start + b * step
            turn = math.atan2(p[0] * q[1] - p[1] * q[0], p @ q)
            angle = math.atan2(p[1], p[0])
            found.append((min(angle, angle + turn), max(angle, angle + turn)))
    if _is_inside(shape, centre, axis, 1, 0.0):
        found.append((0.0, math.tau))
    return found


def _seen_from(shape: Shape, spot: Floats, axis: int, sign: int) -> Floats:
    """The triangles from a spot: two directions across an axis, and along it."""
    turned = (shape.triangles - spot)[..., [(axis + 1) % 3, (axis + 2) % 3, axis]]
    return np.asarray(turned * (1, 1, sign))


def _levels(corners: Floats, level: float) -> Floats:
    """The lines in which triangles cross a height: (n, 2, 2)."""
    above = corners[..., 2] > level
    crossing = above != np.roll(above, -1, axis=1)
    cut = crossing.any(axis=1)
    corners, crossing = corners[cut], crossing[cut]
    following = np.roll(corners, -1, axis=1)
    rise = np.where(crossing, following[..., 2] - corners[..., 2], 1.0)
    part = np.where(crossing, (level - corners[..., 2]) / rise, 0.0)[..., None]
    return np.asarray((corners + part * (following - corners))[crossing][:, :2].reshape(-1, 2, 2))


def _nearest(lines: Floats) -> Floats:
    """How near lines in a plane come to nought."""
    begin, along = lines[:, 0], lines[:, 1] - lines[:, 0]
    square = np.maximum((along**2).sum(axis=1), _A_HAIR**2)
    part = np.clip(-(begin * along).sum(axis=1) / square, 0, 1)
    return np.asarray(np.linalg.norm(begin + part[:, None] * along, axis=1))


def _pierced(corners: Floats) -> tuple[Floats, Floats]:
    """Where the line through nought goes through triangles, and which way they look there."""
    flat = corners[..., :2]
    sides = flat[:, 1:] - flat[:, :1]
    turn = sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]
    corners, flat, turn = (some[np.abs(turn) > _A_HAIR] for some in (corners, flat, turn))
    following = np.roll(flat, -1, axis=1)
    share = (flat[..., 0] * following[..., 1] - flat[..., 1] * following[..., 0]) / turn[:, None]
    hit = (share >= 0).all(axis=1)
    weights = share[hit][:, [1, 2, 0]]  # a corner weighs by the side that faces it
    return np.asarray((corners[hit][..., 2] * weights).sum(axis=1)), np.asarray(np.sign(turn[hit]))


def _is_inside(shape: Shape, spot: Floats, axis: int, sign: int, begin: float) -> bool:
    """Whether a place so far along an axis is inside a body: the next face there looks along it."""
    along, looks = _pierced(_seen_from(shape, spot, axis, sign))
    looks = looks * sign  # mirrored, they turn the other way
    beyond = along > begin + _A_HAIR
    return bool(beyond.any()) and bool(looks[beyond][along[beyond].argmin()] > 0)
