"""What a file has from the type that it was made from: what nobody confirmed, what varies."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Varies:
    """What real machines of a type have otherwise than its file says, of a part or joint.

    Attributes:
        missing: The chance that one has not got it at all; None: the file's author said nothing.
        chance: The chance that what it has is another than the file says; None likewise.
        heads: Other heads that a joint has; ``counts`` other numbers of fasteners.
        places: Other positions that a part is worked on from.
        also: What else may be in the way of a part, in words.
    """

    missing: Fraction | None = None
    chance: Fraction | None = None
    heads: tuple[str, ...] = ()
    counts: tuple[int, ...] = ()
    places: tuple[str, ...] = ()
    also: tuple[str, ...] = ()


NO_WORD = Varies()
"""The file says nothing of what varies."""


@dataclass(frozen=True)
class FromType:
    """The type that a file was made from, and the parts and joints that nobody confirmed since.

    A part stands for itself: that it is there, what is in its way, from where it is worked on. A joint,
    ``part/joint``, stands for its fasteners: how many, which head.
    """

    machine: str
    version: str = ""
    unsure: frozenset[str] = frozenset()


NO_TYPE = FromType("")
"""A file that was made from no type."""
