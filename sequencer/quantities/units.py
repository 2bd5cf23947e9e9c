"""Units and their spellings, and what kind of quantity each measures.

Factors are exact by definition: NIST Special Publication 811 (2008), appendix B.8, with
1 lb = 0.45359237 kg, standard gravity 9.80665 m/s², 1 in = 25.4 mm, 1 US gallon = 231 in³,
1 imperial gallon = 4.54609 L.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_INCH = Fraction("25.4")
_POUND_FORCE = _POUND * _GRAVITY
_US_GALLON = 231 * (_INCH / 100) ** 3
_IMPERIAL_GALLON = Fraction("4.54609")

TORQUE_UNITS: dict[str, Fraction] = {
    "N.m": Fraction(1),
    "cN.m": Fraction(1, 100),
    "daN.m": Fraction(10),
    "lbf.ft": _POUND_FORCE * 12 * _INCH / 1000,
    "lbf.in": _POUND_FORCE * _INCH / 1000,
    "ozf.in": _POUND_FORCE / 16 * _INCH / 1000,
    "kgf.m": _GRAVITY,
    "kgf.cm": _GRAVITY / 100,
}
"""Newton-metres in one of each unit of torque, by the unit's canonical spelling."""

_TORQUE_WORDS = {
    "N.m": "nm newtonmetre newtonmetres newtonmeter newtonmeters",
    "cN.m": "cnm",
    "daN.m": "danm",
    "lbf.ft": "lbfft lbft lbsft ftlbf ftlb ftlbs footpound footpounds poundfoot poundfeet poundsfeet",
    "lbf.in": "lbfin lbin lbsin inlbf inlb inlbs inchpound inchpounds poundinch poundinches",
    "ozf.in": "ozfin ozin inoz inozf",
    "kgf.m": "kgfm kgm mkgf mkg kpm",
    "kgf.cm": "kgfcm kgcm cmkgf cmkg kpcm",
}
"""The spellings of each unit of torque, small and without the signs between (``N·m``, ``N.m``: ``nm``)."""

_SECONDS = {
    "s sec secs second seconds": Fraction(1),
    "min mins minute minutes": Fraction(60),
    "h hr hrs hour hours": Fraction(3600),
    "d day days": Fraction(86400),
}
_DEGREES = {"deg degs degree degrees °": Fraction(1), "turn turns": Fraction(360)}
_KILOGRAMS = {
    "kg kgs kilo kilos kilogram kilograms": Fraction(1),
    "g gram grams": Fraction(1, 1000),
    "t tonne tonnes": Fraction(1000),
    "lb lbs pound pounds": _POUND,
    "oz": _POUND / 16,
}
_LITRES = {
    "l litre litres liter liters": Fraction(1),
    "dl": Fraction(1, 10),
    "cl": Fraction(1, 100),
    "ml cc cm3 cm³": Fraction(1, 1000),
    "gal gallon gallons usgal": _US_GALLON,
    "qt qts quart quarts usqt": _US_GALLON / 4,
    "pt pts pint pints uspt": _US_GALLON / 8,
    "floz usfloz": _US_GALLON / 128,
    "impgal ukgal": _IMPERIAL_GALLON,
    "impqt ukqt": _IMPERIAL_GALLON / 4,
    "imppt ukpt": _IMPERIAL_GALLON / 8,
    "impfloz ukfloz": _IMPERIAL_GALLON / 160,
}
_MILLIMETRES = {
    "mm millimetre millimetres millimeter millimeters": Fraction(1),
    "cm": Fraction(10),
    "m metre metres meter meters": Fraction(1000),
    'in inch inches "': _INCH,
    "ft foot feet": 12 * _INCH,
}


def _spelt(table: dict[str, Fraction]) -> dict[str, Fraction]:
    return {word: factor for words, factor in table.items() for word in words.split()}


@dataclass(frozen=True)
class QuantityKind:
    """One kind of quantity: what it is called, how one is written, and the factor of each spelling."""

    name: str
    example: str
    units: dict[str, Fraction]


TORQUE_SPELT = {word: unit for unit, words in _TORQUE_WORDS.items() for word in words.split()}
TORQUE = QuantityKind("torque", "47 N.m or 35 lbf.ft", {w: TORQUE_UNITS[u] for w, u in TORQUE_SPELT.items()})
TIME = QuantityKind("time", "90 s, 5 min or 1 h 30 min", _spelt(_SECONDS))
ANGLE = QuantityKind("angle", "90 deg", _spelt(_DEGREES))
WEIGHT = QuantityKind("weight", "14 kg, 800 g or 30 lb", _spelt(_KILOGRAMS))
VOLUME = QuantityKind("volume", "1.2 L, 500 ml or 5 qt", _spelt(_LITRES))
LENGTH = QuantityKind("length", "12 mm or 1/2 in", _spelt(_MILLIMETRES))
_KINDS = (TORQUE, TIME, ANGLE, WEIGHT, VOLUME, LENGTH)

_OTHER_KINDS = {
    "angle": "rad radian radians",
    "pressure": "psi bar mbar pa kpa mpa atm",
    "force": "n kn dan lbf kgf",
    "energy": "j kj",
    "power": "w kw hp",
    "temperature": "c °c f °f k",
    "current": "a",
    "voltage": "v",
}

_BETWEEN = re.compile(r"[ .·⋅∙•*×_-]+")


def unit_word(unit: str) -> str:
    """A unit without the signs between its pieces, and small: ``N·m`` and ``N m`` are both ``nm``."""
    return _BETWEEN.sub("", unit).casefold()


def kind_of(unit: str) -> str | None:
    """What kind of quantity a unit measures, for a message; ``None`` where that is not known."""
    word = unit_word(unit)
    for kind in _KINDS:
        if word in kind.units:
            return kind.name
    for name, words in _OTHER_KINDS.items():
        if word in words.split():
            return name
    return _kind_by_pint(unit)


@cache
def _kind_by_pint(unit: str) -> str | None:
    """The kind of a unit that the tables lack, asked of pint; only to word a refusal."""
    if len(unit) > 24 or not re.fullmatch(r"[A-Za-z]{1,16}(?:[ /*][A-Za-z]{1,16})?", unit):
        return None
    import pint

    registry = _registry()
    names = {"N*m": "torque", "s": "time", "rad": "angle", "kg": "weight", "L": "volume", "m": "length"}
    names |= {
        "Pa": "pressure",
        "N": "force",
        "W": "power",
        "K": "temperature",
        "m/s": "speed",
        "m**2": "area",
    }
    try:
        dimension = registry.parse_units(unit).dimensionality
    except (pint.PintError, ValueError, TypeError, AttributeError, KeyError, AssertionError):
        return None
    for known, name in names.items():
        if dimension == registry.parse_units(known).dimensionality and dimension:
            return name
    return None


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()
