"""Times, torques, angles, weights, volumes and lengths as people write them; exact, each with its unit.

Only the spellings in the tables of ``units`` are understood, so nothing is ever guessed: a number with any
other unit is refused, and where the unit is known to mean another kind of quantity, that kind is named.
Values are fractions, so that a third of a time stays a third.
"""

from __future__ import annotations

from fractions import Fraction

from sequencer.quantities.text import QuantityError, total
from sequencer.quantities.torque import (
    AngleQuantity,
    Stage,
    TorqueQuantity,
    find_torque,
    parse_angle,
    parse_stage,
    parse_torque,
    wrench_round,
)
from sequencer.quantities.units import LENGTH, TIME, TORQUE_UNITS, VOLUME, WEIGHT

__all__ = [
    "TORQUE_UNITS",
    "AngleQuantity",
    "QuantityError",
    "Stage",
    "TorqueQuantity",
    "find_torque",
    "parse_angle",
    "parse_kilograms",
    "parse_litres",
    "parse_millimetres",
    "parse_seconds",
    "parse_stage",
    "parse_torque",
    "wrench_round",
]


def parse_seconds(text: str) -> Fraction:
    """A time in seconds: ``90 s``, ``1.5 min``, ``1 h 30 min``; a number alone is in seconds.

    Raises:
        QuantityError: A unit of another kind, less than nothing, or not a number.
    """
    return total(text, TIME, bare=Fraction(1))


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
