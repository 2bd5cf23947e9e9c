"""Places for labels in a picture: each as near to its thing as there is room, none over another.

One after the other takes the nearest free place (the greedy way in Christensen, Marks and Shieber, "An
empirical study of algorithms for point-feature label placement", ACM Transactions on Graphics 14 (3), 1995),
with a leader back to its thing where that is not under it. No leader runs through a label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

Point = tuple[float, float]
_STEP = 6.0
"""Units between one ring of places around a thing and the next."""
_FREE = 1.0
"""Units that are free between two labels."""

_BEGIN = 2
"""Anchors that a leader may begin at."""


def _around(rings: int) -> np.ndarray:
    """Steps away from a thing, the nearest first; each ring begins below it."""
    turns = [np.arange(8 * min(n, 4)) / (8 * min(n, 4)) * 2 * np.pi + np.pi / 2 for n in range(1, rings + 1)]
    return np.concatenate(
        [np.stack([np.cos(one), np.sin(one)], axis=1) * _STEP * n for n, one in enumerate(turns, start=1)]
    )


@dataclass(frozen=True)
class LabelPlace:
    """Where a label stands: its middle; ``leader`` goes from its thing to its edge, where one is needed."""

    x: float
    y: float
    leader: tuple[Point, Point] | None


class Labels:
    """The labels of one view.

    Args:
        left: The view's edges; no label goes beyond one. ``top``, ``right`` and ``bottom`` are the others, y
            down.
    """

    def __init__(self, left: float, top: float, right: float, bottom: float) -> None:
        self._room = np.array([left, top, right, bottom])
        self._labels = np.empty((0, 4))
        self._signs = np.empty((0, 4))
        self._leaders = np.empty((0, 4))

    def keep_clear(self, x: float, y: float, wide: float, tall: float) -> None:
        """No label is to stand on what is drawn there, with its middle at ``x``, ``y``."""
        self._signs = np.vstack([self._signs, _boxes(np.array([[x, y]]), wide, tall)])

    def place(self, anchors: Sequence[Point], wide: float, tall: float, rings: int = 14) -> LabelPlace | None:
        """Where a label of that size goes that names what lies at the ``anchors``; None: there is no room.

        It is at most ``rings`` steps away. Of two places as near, the one at the earlier anchor is taken.
        """
        at = np.array(anchors, dtype=float)
        at = at[~_through(np.hstack([at, at]), self._labels)]  # a leader would begin under another label
        for steps, begin in ((np.zeros((1, 2)), at), (_around(rings), at[:_BEGIN])):
            middles = (steps[:, None, :] + begin[None, :, :]).reshape(-1, 2)
            boxes = _boxes(middles, wide, tall)
            fit = self._fit(boxes)
            middles, boxes, starts = middles[fit], boxes[fit], np.tile(begin, (len(steps), 1))[fit]
            leaders = np.hstack([starts, np.clip(starts, boxes[:, :2], boxes[:, 2:])])
            for number in np.flatnonzero(~_through(leaders, self._labels)):
                if not _through(self._leaders, boxes[[number]]).any():
                    return self._taken(middles[number], boxes[[number]], leaders[[number]])
        return None

    def _fit(self, boxes: np.ndarray) -> np.ndarray:
        """Which boxes are in the view, and on nothing that is to be seen."""
        inside = (boxes[:, :2] >= self._room[:2]).all(axis=1) & (boxes[:, 2:] <= self._room[2:]).all(axis=1)
        if not len(boxes):
            return np.empty(0, dtype=bool)
        taken = np.vstack([self._labels, self._signs])
        low, high = boxes[:, :2].min(axis=0) - _FREE, boxes[:, 2:].max(axis=0) + _FREE
        taken = taken[((taken[:, :2] < high) & (taken[:, 2:] > low)).all(axis=1)]
        low = np.maximum(boxes[:, None, :2], taken[None, :, :2])
        high = np.minimum(boxes[:, None, 2:], taken[None, :, 2:])
        return np.asarray(inside & ~(low < high + _FREE).all(axis=2).any(axis=1))

    def _taken(self, middle: np.ndarray, box: np.ndarray, leader: np.ndarray) -> LabelPlace:
        self._labels = np.vstack([self._labels, box])
        (x, y), (from_x, from_y, to_x, to_y) = map(float, middle), map(float, leader[0])
        if (from_x, from_y) == (to_x, to_y):
            return LabelPlace(x, y, None)
        self._leaders = np.vstack([self._leaders, leader])
        return LabelPlace(x, y, ((from_x, from_y), (to_x, to_y)))


def _boxes(middles: np.ndarray, wide: float, tall: float) -> np.ndarray:
    half = np.array([wide, tall]) / 2
    return np.hstack([middles - half, middles + half])


def _through(lines: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """Which lines run through one of the boxes (the way of Liang and Barsky)."""
    start, ahead = lines[:, None, :2], lines[:, None, 2:] - lines[:, None, :2]
    ahead = np.where(ahead == 0, 1e-9, ahead)
    one, other = (boxes[None, :, :2] - start) / ahead, (boxes[None, :, 2:] - start) / ahead
    first, last = np.minimum(one, other).max(axis=2), np.maximum(one, other).min(axis=2)
    return np.asarray((np.maximum(first, 0) < np.minimum(last, 1)).any(axis=1))
