"""A shape of triangles as a few boxes: what a bracket leaves open is open in a picture of boxes too."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

_SLICES = 14
"""So many along the longest side: an eye tells no more in a picture that small."""


def sliced(triangles: np.ndarray) -> np.ndarray:
    """The boxes around the slices of a shape (n, 3, 3), across its longest side: low and high x, y, z each.

    Neighbours that are alike are one.
    """
    begin, end = triangles.reshape(-1, 3), np.roll(triangles, -1, axis=1).reshape(-1, 3)
    low, high = begin.min(axis=0), begin.max(axis=0)
    axis, alike = int((high - low).argmax()), float((high - low).max()) / 50
    rise = end[:, axis] - begin[:, axis]
    safe = np.where(np.abs(rise) > 1e-9, rise, 1.0)
    least, most = np.minimum(begin, end)[:, axis], np.maximum(begin, end)[:, axis]
    found: list[np.ndarray] = []
    for near, far in pairwise(np.linspace(low[axis], high[axis], _SLICES + 1)):
        inside = (least < far - 1e-6) & (most > near + 1e-6)
        if not inside.any():
            continue
        cuts = [np.clip((level - begin[:, axis]) / safe, 0, 1) for level in (near, far)]
        points = np.concatenate([begin[inside] + (cut[:, None] * (end - begin))[inside] for cut in cuts])
        row = np.concatenate([points.min(axis=0), points.max(axis=0)])
        row[axis], row[3 + axis] = near, far
        others = [n for n in range(6) if n % 3 != axis]
        if found and np.abs(found[-1] - row)[others].max() <= alike:
            found[-1][3 + axis] = far
        else:
            found.append(row)
    return np.array(found)
