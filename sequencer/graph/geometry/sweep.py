"""Whether a straight move, a tool or a fastener on its way out runs into a box: exact, on whole numbers.

Lengths are whole millionths of a millimetre, which is as fine as a machine file can write, and 64 bits hold
all that it can say. What only touches doesn't collide: all overlaps are open.

A moving box meets a still one at those times when they overlap along each axis. For a linear move these times
are an open interval for each axis (the slab method: Kay & Kajiya, "Ray tracing complex scenes", SIGGRAPH
1986), and the boxes meet if the three have a time of the move in common.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Shift = tuple[int, int, int]
"""How far something has moved, in units."""
Corner = Sequence[int]
"""A corner of one box, in units."""
Corners = tuple[Corner, Corner]
"""The low corner of a box, and the high one."""
UNITS = 10**6
"""Units in a millimetre: machine files write at most six decimals."""
FAR = 2**62
"""Beyond everything."""
ENDLESS = 2**44
"""A move by at least that much has no end: seventeen kilometres."""


def less(one: Shift, other: Shift) -> Shift:
    """From where the second is to where the first is."""
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def overlapping(low: Ints, high: Ints, other_low: Ints, other_high: Ints) -> npt.NDArray[np.bool_]:
    """Which boxes of the first set (rows) overlap which of the second (columns)."""
    below = low[:, None, :] < other_high[None, :, :]
    above = other_low[None, :, :] < high[:, None, :]
    return np.asarray((below & above).all(axis=2))


def touching(one: Corners, other: Corners, most: int) -> Corners | None:
    """The second of two boxes that overlap, cut back until it touches the first; None: they overlap deeply.

    Overlaps of up to ``most``, and of up to a third of the thinner box, are errors of measuring, and
    are taken out along the axis where they are least.
    """
    (low, high), (other_low, other_high) = one, other
    overlaps = [min(high[n] - other_low[n], other_high[n] - low[n]) for n in range(3)]
    axis = overlaps.index(min(overlaps))
    thinner = min(high[axis] - low[axis], other_high[axis] - other_low[axis])
    if overlaps[axis] > min(most, thinner // 3):
        return None
    cut_low, cut_high = [*other_low], [*other_high]
    if high[axis] - other_low[axis] <= other_high[axis] - low[axis]:
        cut_low[axis] = high[axis]
    else:
        cut_high[axis] = low[axis]
    return cut_low, cut_high


def hit_on_a_move(
    low: Ints, high: Ints, other_low: Ints, other_high: Ints, shift: Shift
) -> npt.NDArray[np.bool_]:
    """Which boxes, moved in a straight line by ``shift``, run into which others; both ends count too.

    A shift by ``FAR`` along an axis has no end.
    """
    by = np.array(shift, dtype=np.int64)
    around = overlapping(np.minimum(low, low + by), np.maximum(high, high + by), other_low, other_high)
    if np.count_nonzero(by) > 1:
        for one, other in np.argwhere(around):
            box, still = (low[one], high[one]), (other_low[other], other_high[other])
            around[one, other] = met_on_a_move(_plain(box), _plain(still), shift)
    return around


def _plain(corners: tuple[Ints, Ints]) -> Corners:
    return corners[0].tolist(), corners[1].tolist()


def met_on_a_move(box: Corners, still: Corners, shift: Shift) -> bool:
    """The same for one box and one other."""
    (low, high), (other_low, other_high) = box, still
    bounds = [
        (other_low[axis] - high[axis], other_high[axis] - low[axis], by) for axis, by in enumerate(shift)
    ]
    if not all(first < max(by, 0) and min(by, 0) < last for first, last, by in bounds):
        return False
    if sum(map(bool, shift)) < 2:
        return True
    times = [sorted((Fraction(first, by), Fraction(last, by))) for first, last, by in bounds if by]
    begin, end = max(first for first, _ in times), min(last for _, last in times)
    return begin < end and end > 0 and begin < 1  # times of the move run from 0 to 1


def line_hits(
    spot: tuple[int, int, int], axis: int, sign: int, length: Fraction, other_low: Ints, other_high: Ints
) -> npt.NDArray[np.bool_]:
    """Which boxes a line from ``spot`` along an axis runs into; ``length`` in units.

    A line that lies in the face of a box touches it only.
    """
    start = spot[axis]
    tip = start + sign * length
    near, far = (
        (start, -(-tip // 1)) if sign > 0 else (tip // 1, start)
    )  # rounded away: as exact on whole numbers
    low, high = list(spot), list(spot)
    low[axis], high[axis] = int(near), int(far)
    at = np.array([low], dtype=np.int64), np.array([high], dtype=np.int64)
    return np.asarray(overlapping(*at, other_low, other_high)[0])


def rod_hits(
    spot: tuple[int, int, int],
    axis: int,
    sign: int,
    along: tuple[int, int],
    radius: int,
    other_low: Ints,
    other_high: Ints,
) -> npt.NDArray[np.bool_]:
    """Which boxes a rod about an axis through ``spot`` runs into, from so far to so far ``along`` it."""
    near, far = sorted(spot[axis] + sign * length for length in along)
    there = (other_low[:, axis] < far) & (near < other_high[:, axis])
    square = np.zeros(len(other_low), dtype=np.int64)
    for other in {0, 1, 2} - {axis}:
        gap = np.maximum(np.maximum(other_low[:, other] - spot[other], spot[other] - other_high[:, other]), 0)
        gap = np.minimum(gap, radius)  # farther away is all the same, and its square still fits
        square += gap * gap
    if radius:
        return np.asarray(there & (square < radius * radius))
    return line_hits(spot, axis, sign, Fraction(along[1]), other_low, other_high)
