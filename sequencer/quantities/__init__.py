"""Times, torques, angles, weights, volumes and lengths as people write them; exact, each with its unit.

Only the spellings in the tables of ``units`` are understood, so nothing is ever guessed: a number with any
other unit is refused, and where the unit is known to mean another kind of quantity, that kind is named.
Values are fractions, so that a third of a time stays a third.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import isqrt

from sequencer.quantities.text import QuantityError, short, tidy, total
from sequencer.quantities.torque import (
    AngleQuantity,
    Stage,
    TorqueQuantity,
    find_prevailing,
    find_torque,
    parse_angle,
    parse_stage,
    parse_torque,
    parse_torque_unit,
    wrench_round,
)
from sequencer.quantities.units import LENGTH, TIME, TORQUE_UNITS, VOLUME, WEIGHT

__all__ = [
    "TORQUE_UNITS",
    "AngleQuantity",
    "QuantityError",
    "RangedSeconds",
    "Stage",
    "TorqueQuantity",
    "find_prevailing",
    "find_torque",
    "parse_angle",
    "parse_kilograms",
    "parse_litres",
    "parse_millimetres",
    "parse_seconds",
    "parse_stage",
    "parse_time",
    "parse_torque",
    "parse_torque_unit",
    "wrench_round",
]


def parse_seconds(text: str) -> Fraction:
    """A time in seconds: ``90 s``, ``1.5 min``, ``1 h 30 min``; a number alone is in seconds.

    Raises:
        QuantityError: A unit of another kind, less than nothing, or not a number.
    """
    return total(text, TIME, bare=Fraction(1))


class RangedSeconds(Fraction):
    """A time given as a range: the geometric mean of its ends to the second; ``spread`` is high by low."""

    spread: Fraction

    @classmethod
    def between(cls, low: Fraction, high: Fraction) -> RangedSeconds:
        """The range from ``low`` to ``high``, both more than nought."""
        made = cls((isqrt(int(4 * low * high)) + 1) // 2)
        made.spread = high / low
        return made


def parse_time(text: str) -> Fraction:
    """A time as `parse_seconds`, or a range of it: ``1 to 4 min``, ``90 s to 4 min`` (a `RangedSeconds`).

    Raises:
        QuantityError: It can't be read, or the range does not go up from more than nought.
    """
    first, to, last = (piece.strip() for piece in tidy(text).partition(" to "))
    if not to:
        return parse_seconds(text)
    high = parse_seconds(last)
    units = re.findall("[a-z]+", last) if re.fullmatch(r"[\d./]+", first) else []
    low = parse_seconds(" ".join([first, *units[:1]]))
    if not 0 < low < high:
        raise QuantityError(f"{short(text)} is no range", "write the shorter time first: 1 to 4 min")
    return RangedSeconds.between(low, high)


def parse_kilograms(text: str) -> Fraction:
    """A weight in kilograms: ``14 kg``, ``800 g``, ``30 lb``.

    Raises:
        QuantityError: No unit, a unit of another kind, less than nothing, or not a number.
    """
    return total(text, WEIGHT)


def parse_litres(text: str) -> Fraction:
    """A volume in litres: ``1.2 L``, ``500 ml``, ``5 qt`` (US, as are ``pt`` and ``gal``), ``1 imp gal``.

    Raises:
        QuantityError: No unit, a unit of another kind, less than nothing, or not a number.
    """
    return total(text, VOLUME)


def parse_millimetres(text: str) -> Fraction:
    """A length in millimetres: ``12 mm``, ``1 1/2 in``.

    Raises:
        QuantityError: No unit, a unit of another kind, less than nothing, or not a number.
    """
    return total(text, LENGTH)
