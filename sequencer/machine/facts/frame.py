"""Where things are: points, ways and boxes in the machine's frame, in millimetres and exact.

One frame for the whole machine, right-handed; which way x, y and z point is the author's to say. Lengths are
``Fraction`` so that faces that touch are told from faces that overlap.
"""

from __future__ import annotations

from collections.abc import Iterable
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

ANY = "any"
"""Under ``out``: whatever way the shapes leave free."""


def direction(way: str) -> Vector:
    """A way as a file writes it: along an axis, or ``[1, 0, 1]``, of any length."""
    if way in WAYS:
        return WAYS[way]
    x, y, z = (Fraction(part) for part in way.strip("[]").split(","))
    return x, y, z


def way_word(ahead: Iterable[Fraction | float]) -> str:
    """A direction as a file writes it, to a millionth of its largest part; along an axis by its name."""
    parts = [Fraction(part) for part in ahead]
    most = max(map(abs, parts))
    parts = [Fraction(round(part / most * 10**6), 10**6) for part in parts]
    named = next((word for word, way in WAYS.items() if list(way) == parts), None)
    return named or f"[{', '.join(f'{float(part):.7g}' for part in parts)}]"


CLOSE_MM = 5
"""Boxes as near as this touch for all that a tape can tell (our own judgement)."""

UNITS_OF_LENGTH = ("mm", "cm", "m", "in")
"""What a shape from a file can be drawn in."""


@dataclass(frozen=True)
class Mesh:
    """A shape in a file beside the machine file: all of it, or its one ``body`` of that name.

    ``unit`` is what it was drawn in; None: as its format has it, millimetres where that says nothing.
    """

    file: str
    body: str | None = None
    unit: str | None = None

    @classmethod
    def read(cls, text: str, unit: str | None = None) -> Mesh:
        """``pump.glb``, or ``pump.glb#impeller``."""
        file, _, body = text.partition("#")
        return cls(file, body or None, unit)


@dataclass(frozen=True)
class Tilt:
    """How far a part may be tilted before it leaves: about a line through ``at`` along an axis, right-handed.

    ``about`` is a way along the axes, and ``by`` the most degrees.
    """

    about: str
    at: Vector
    by: Fraction


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

    def touches(self, other: Box) -> bool:
        """Whether the two are within ``CLOSE_MM`` of each other along every axis."""
        return all(
            self.at[axis] - other.end[axis] <= CLOSE_MM and other.at[axis] - self.end[axis] <= CLOSE_MM
            for axis in range(3)
        )
