"""What a way of dividing a job into sittings is worth: the smaller, the better."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple


class Worth(NamedTuple):
    """In the order in which it counts.

    Attributes:
        over: Seconds by which sittings are longer than is wished, so that they end where it may be left.
        sittings: How many there are.
        seconds: What the plan's times come to, getting back to the place with empty hands included.
        snug: How many joints are left snug, each counted at every stop: nobody goes home between the two.
        looks: At how many stops there is something to be looked at first.
    """

    over: Fraction
    sittings: int
    seconds: Fraction
    snug: int
    looks: int

    def __add__(self, other: tuple[object, ...]) -> Worth:
        """Of both one after the other."""
        assert isinstance(other, Worth)
        return Worth(
            self.over + other.over,
            self.sittings + other.sittings,
            self.seconds + other.seconds,
            self.snug + other.snug,
            self.looks + other.looks,
        )


NOTHING = Worth(Fraction(0), 0, Fraction(0), 0, 0)
ONE_MORE = Worth(Fraction(0), 1, Fraction(0), 0, 0)
"""The least that anything still to be done adds."""
