"""What polygons lack of the round holes that they stand for.

A round hole comes as a polygon through points of the circle, so its material is drawn too large by a sliver
at each chord. Where the edges of a face lie on a circle around a hole, those slivers are told: else a shaft
of other facets would stick in a bore that it fits.
"""

from __future__ import annotations

import numpy as np

from sequencer.graph.geometry.planes import Floats, Numbers

_SHARPEST = np.radians(46)
"""Edges that turn more sharply than an octagon's are corners, and no circle."""

_ROUND = 0.01
"""By how much of the radius circles through neighbouring points may differ and be the same."""


def chords_of(flat: Floats, along: Floats, corners: Numbers) -> tuple[Floats, Floats, Floats]:
    """The slivers between the chords and arcs of round holes: how far along, how deep, their outlines."""
    number = corners - corners.min(initial=0)
    at = np.zeros((int(number.max(initial=-1)) + 1, 3))
    at[number.ravel()] = np.concatenate([flat, along[..., None]], axis=2).reshape(-1, 3)
    sides = flat[:, 1:] - flat[:, :1]
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
