"""Where things are: points, ways and boxes in the machine's frame, in millimetres and exact.

One frame for the whole machine, right-handed; which way x, y and z point is the author's to say. Lengths are
``Fraction`` so that faces that touch are told from faces that overlap.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

Vector = tuple[Fraction, Fraction, Fraction]
"""A point or a displacement in the machine's frame, in millimetres."""


def vector(x: int | Fraction, y: int | Fraction, z: int | Fraction) -> Vector:
    """A vector of whole numbers or fractions of millimetres."""
    return Fraction(x), Fraction(y), Fraction(z)


WAYS: dict[str, Vector] = {
    "+x": vector(1, 0, 0),
    "-x": vector(-1, 0, 0),
    "+y": vector(0, 1, 0),
    "-y": vector(0, -1, 0),
    "+z": vector(0, 0, 1),
    "-z": vector(0, 0, -1),
}
"""The ways along the axes of the frame, as a file writes them."""


@dataclass(frozen=True)
class Box:
    """A box along the axes: its corner with the least of each, and its size, each more than nothing."""

    at: Vector
    size: Vector

    @property
    def end(self) -> Vector:
        """The corner with the most of each."""
        x, y, z = (low + long for low, long in zip(self.at, self.size, strict=True))
        return x, y, z
