"""Times, torques, angles, weights, volumes and lengths as people write them; exact, each with its unit.

Only the spellings in the tables below are understood, so nothing is ever guessed: a number with any other
unit is refused, and where the unit is known to mean another kind of quantity, that kind is named. Values
are fractions, so that a third of a time stays a third.

Factors are exact by definition: NIST Special Publication 811 (2008), appendix B.8, with
1 lb = 0.45359237 kg, standard gravity 9.80665 m/s², 1 in = 25.4 mm, 1 US gallon = 231 in³,
1 imperial gallon = 4.54609 L.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from sequencer.errors import SequencerError


class QuantityError(SequencerError):
    """A quantity that can't be read: no unit, a unit of another kind, not a number."""


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
class _Kind:
    """One kind of quantity: what it is called, how one is written, and the factor of each spelling."""

    name: str
    example: str
    units: dict[str, Fraction]


_TORQUE_SPELT = {word: unit for unit, words in _TORQUE_WORDS.items() for word in words.split()}
_TORQUE = _Kind("torque", "47 N.m or 35 lbf.ft", {w: TORQUE_UNITS[u] for w, u in _TORQUE_SPELT.items()})
_TIME = _Kind("time", "90 s, 5 min or 1 h 30 min", _spelt(_SECONDS))
_ANGLE = _Kind("angle", "90 deg", _spelt(_DEGREES))
_WEIGHT = _Kind("weight", "14 kg, 800 g or 30 lb", _spelt(_KILOGRAMS))
_VOLUME = _Kind("volume", "1.2 L, 500 ml or 5 qt", _spelt(_LITRES))
_LENGTH = _Kind("length", "12 mm or 1/2 in", _spelt(_MILLIMETRES))
_KINDS = (_TORQUE, _TIME, _ANGLE, _WEIGHT, _VOLUME, _LENGTH)

_OTHER_KINDS = {
    "pressure": "psi bar mbar pa kpa mpa atm",
    "force": "n kn dan lbf kgf",
    "energy": "j kj",
    "power": "w kw hp",
    "temperature": "c °c f °f k",
    "current": "a",
    "voltage": "v",
}

_NUMBER = (
    r"[0-9]{1,9}[ -][0-9]{1,3}/[0-9]{1,3}|[0-9]{1,9}/[0-9]{1,3}|[0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9}"
)
_TERM = re.compile(rf"(?P<number>{_NUMBER}) ?(?P<unit>cm3|[^0-9:,]*)")
_RANGE = re.compile(rf"(?![0-9]+-[0-9]+/)(?:{_NUMBER}) ?[^0-9 ]* ?(?:-|–|\.\.|to) ?(?:{_NUMBER})(?![0-9])")
_BETWEEN = re.compile(r"[ .·⋅∙•*×_-]+")
_LONGEST = 60


def _tidy(text: str) -> str:
    """One space between words, the true minus for its look-alikes."""
    return " ".join(text.replace("−", "-").split())


def _unit_word(unit: str) -> str:
    """A unit without the signs between its pieces, and small: ``N·m`` and ``N m`` are both ``nm``."""
    return _BETWEEN.sub("", unit).casefold()


def _short(text: str) -> str:
    """The text as a message may quote it."""
    tidy = _tidy(text)
    return tidy if len(tidy) <= _LONGEST else tidy[: _LONGEST - 1] + "…"


def _number(text: str) -> Fraction | None:
    """``2``, ``.5``, ``1/2`` or ``1 1/2`` exactly; nothing where it divides by nought."""
    try:
        return sum((Fraction(piece) for piece in text.replace("-", " ").split()), Fraction(0))
    except ZeroDivisionError:
        return None


def _wanted(kind: _Kind) -> str:
    return f"write it like {kind.example}"


def _a(name: str) -> str:
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _terms(text: str, kind: _Kind) -> list[tuple[Fraction, str]]:
    """The numbers and unit words of ``text``.

    Raises:
        QuantityError: It is not made of numbers and units.
    """
    tidy = _tidy(text)
    if not tidy:
        raise QuantityError(f"{_a(kind.name)} is missing", _wanted(kind))
    if tidy.startswith("-") and _TERM.match(tidy[1:].lstrip()):
        raise QuantityError(
            f"{_short(text)} is less than nothing", f"leave the minus out, or {_wanted(kind)}"
        )
    if _RANGE.match(tidy):
        raise QuantityError(
            f"{_short(text)} is a range; one {kind.name} is wanted", "write the one that you would use"
        )
    if comma := re.match(r"([0-9]+),([0-9]+)", tidy):
        point = f"{comma[1]}{comma[2]} or " if len(comma[2]) == 3 else ""
        raise QuantityError(
            f"'{_short(text)}' has a comma", f"write {point}{comma[1]}.{comma[2]} with a point"
        )
    found, end = [], 0
    while len(tidy) <= _LONGEST and (match := _TERM.match(tidy, end)):
        value = _number(match["number"])
        if value is None:
            break
        found.append((value, match["unit"].strip()))
        end = match.end()
    if not found or end < len(tidy):
        raise QuantityError(f"'{_short(text)}' is not {_a(kind.name)}", _wanted(kind))
    return found


def _total(text: str, kind: _Kind, bare: Fraction | None = None) -> Fraction:
    """The sum of the terms of ``text``; a number alone counts in ``bare``, where that is allowed."""
    terms = _terms(text, kind)
    if len(terms) == 1 and not terms[0][1] and bare is not None:
        return terms[0][0] * bare
    return sum((value * kind.units[_known(text, unit, kind)] for value, unit in terms), Fraction(0))


def _known(text: str, unit: str, kind: _Kind) -> str:
    """The unit's spelling in the table of its kind.

    Raises:
        QuantityError: It has no unit, or one of another kind, or one that nobody knows.
    """
    word = _unit_word(unit)
    if word in kind.units:
        return word
    if not word:
        raise QuantityError(f"{_short(text)} has no unit; {_a(kind.name)} needs one", _wanted(kind))
    if word.replace("/", "") in kind.units:
        raise QuantityError(
            f"{_short(text)} divides one by the other", f"write {_short(text.replace('/', '-'))}"
        )
    other = _kind_of(unit)
    if other == kind.name:
        raise QuantityError(f"'{_short(unit)}' is not a unit that is read here", _wanted(kind))
    if other is not None:
        raise QuantityError(f"{_short(text)} is {_a(other)}; {_a(kind.name)} is wanted", _wanted(kind))
    raise QuantityError(f"'{_short(unit)}' is not a unit of {kind.name}", _wanted(kind))


def _kind_of(unit: str) -> str | None:
    """What kind of quantity a unit measures, for a message; ``None`` where that is not known."""
    word = _unit_word(unit)
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
def _registry() -> pint.UnitRegistry:  # type: ignore[name-defined]  # noqa: F821
    import pint

    return pint.UnitRegistry()


@dataclass(frozen=True)
class TorqueQuantity:
    """A torque.

    Attributes:
        newton_metres: Its size in N·m, exactly.
        unit: The unit it was written in, canonically: a key of ``TORQUE_UNITS``.
        value: Its size in that unit.
        text: As it was written.
    """

    newton_metres: Fraction
    unit: str
    value: Fraction
    text: str

    def in_unit(self, unit: str) -> Fraction:
        """Its size in another canonical unit, exactly."""
        return self.newton_metres / TORQUE_UNITS[unit]

    def shown_in(self, unit: str | None = None) -> str:
        """Number and unit for a person: in its own unit as written, in another as a wrench can be set.

        Rounded values are at most 5 % off below 2 of the unit, 2.5 % above, in steps of 0.1 below 20, of 0.5
        below 100, of 1 above (common practice for the scales of torque wrenches), and of 0.01 below 1.
        """
        if unit is None or unit == self.unit:
            return f"{_plain(self.value)} {self.unit}"
        return f"{_plain(wrench_round(self.in_unit(unit)))} {unit}"


@dataclass(frozen=True)
class AngleQuantity:
    """An angle through which a fastener is turned on: ``degrees``, and the text as written."""

    degrees: Fraction
    text: str


def wrench_round(value: Fraction) -> Fraction:
    """A torque in some unit, rounded to what can be set and read on a wrench; halves go up."""
    if value < Fraction(1, 10):
        return value
    step = next(
        (
            step
            for limit, step in ((1, Fraction(1, 100)), (20, Fraction(1, 10)), (100, Fraction(1, 2)))
            if value < limit
        ),
        Fraction(1),
    )
    return (value / step + Fraction(1, 2)).__floor__() * step


def _plain(value: Fraction) -> str:
    """A decimal without needless noughts, to six figures behind the point at most."""
    return f"{float(value):.6f}".rstrip("0").rstrip(".")


def parse_torque(text: str) -> TorqueQuantity:
    """A torque with its unit: ``47 N.m``, ``47 Nm``, ``35 ft-lb``, ``4.8 kgf.m``.

    Raises:
        QuantityError: No unit, a unit of another kind, nought, or not a number.
    """
    terms = _terms(text, _TORQUE)
    value, unit = terms[0]
    if not unit:
        number = _plain(value)
        raise QuantityError(
            f"{_short(text)} has no unit; a torque needs one",
            f"write {number} N.m or {number} lbf.ft, whichever is meant",
        )
    if len(terms) > 1:
        raise QuantityError(
            f"'{_short(text)}' is more than one torque", "write stages: [20 N.m, 90 deg] for several"
        )
    word = _known(text, unit, _TORQUE)
    if value == 0:
        raise QuantityError(
            f"{_short(text)} tightens nothing", "leave the torque out, or write the right one"
        )
    canonical = _TORQUE_SPELT[word]
    return TorqueQuantity(value * TORQUE_UNITS[canonical], canonical, value, _tidy(text))


def parse_angle(text: str) -> Fraction:
    """An angle in degrees: ``90 deg``, ``90°``, ``1/4 turn``.

    Raises:
        QuantityError: As for a torque.
    """
    degrees = _total(text, _ANGLE)
    if degrees == 0:
        raise QuantityError(f"{_short(text)} turns nothing", "leave the angle out, or write the right one")
    return degrees


def parse_stage(text: str) -> TorqueQuantity | AngleQuantity:
    """A stage of a tightening: a torque, or an angle on top of the stage before.

    Raises:
        QuantityError: As for a torque.
    """
    terms = _terms(text, _TORQUE)
    if len(terms) == 1 and _unit_word(terms[0][1]) in _ANGLE.units:
        return AngleQuantity(parse_angle(text), _tidy(text))
    return parse_torque(text)


def parse_seconds(text: str) -> Fraction:
    """A time in seconds: ``90 s``, ``1.5 min``, ``1 h 30 min``; a number alone is in seconds.

    Raises:
        QuantityError: A unit of another kind, less than nothing, or not a number.
    """
    return _total(text, _TIME, bare=Fraction(1))


def parse_kilograms(text: str) -> Fraction:
    """A weight in kilograms: ``14 kg``, ``800 g``, ``30 lb``.

    Raises:
        QuantityError: No unit, a unit of another kind, less than nothing, or not a number.
    """
    return _total(text, _WEIGHT)


def parse_litres(text: str) -> Fraction:
    """A volume in litres: ``1.2 L``, ``500 ml``, ``5 qt`` (US, as are ``pt`` and ``gal``), ``1 imp gal``.

    Raises:
        QuantityError: No unit, a unit of another kind, less than nothing, or not a number.
    """
    return _total(text, _VOLUME)


def parse_millimetres(text: str) -> Fraction:
    """A length in millimetres: ``12 mm``, ``1 1/2 in``.

    Raises:
        QuantityError: No unit, a unit of another kind, less than nothing, or not a number.
    """
    return _total(text, _LENGTH)
