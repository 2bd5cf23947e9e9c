"""The kinds of value that say where things are, how many hands they take, and when they were found."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from typing import Annotated, Any

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema

from sequencer.machine.facts.frame import ANY, WAYS, Vector, way_word
from sequencer.machine.faults import quote
from sequencer.machine.schema.fields import MOST_MILLIMETRES, kind_of, one_or_list, refuse
from sequencer.quantities import QuantityError, parse_millimetres

MOST_PEOPLE = 99
MOST_TILT = 45
"""Degrees: what turns farther is turned over, and no tilt."""
MOST_TOLERANCE = Fraction(1, 4)
"""A wider one asks nothing: friction alone spreads preload about as much (common practice)."""

Spot = tuple[float, float] | Vector
"""Where a fastener is: two numbers in the pattern of its joint, or three in the machine's frame."""


_SIGNED = re.compile(r"[+-]?[0-9]{1,9}(\.[0-9]{1,6})?")


def _number(raw: object, remedy: str) -> Fraction:
    text = raw.strip() if isinstance(raw, str) else ""
    if not _SIGNED.fullmatch(text):
        refuse(f"a number of millimetres is wanted here, and this is {kind_of(raw)}", remedy)
    number = Fraction(text)
    if abs(number) >= MOST_MILLIMETRES:
        refuse(f"{quote(text)} mm is farther than any machine reaches", "the frame is in millimetres")
    return number


def _corner(raw: object) -> Vector:
    return _point(raw, "a corner", "write [x, y, z] in mm: [0, 120, 40]")


def _point(raw: object, what: str, remedy: str) -> Vector:
    if not isinstance(raw, list) or len(raw) != 3:
        refuse(f"{what} has three numbers, x, y and z", remedy)
    x, y, z = (_number(one, remedy) for one in raw)
    return x, y, z


def _ways(raw: object) -> object:
    """Ways by name, or as three numbers each; a vector becomes its word."""
    if (
        isinstance(raw, list)
        and len(raw) == 3
        and all(isinstance(one, str) and _SIGNED.fullmatch(one.strip()) for one in raw)
    ):
        raw = [raw]
    ways = one_or_list(raw)
    return [_way(one) if isinstance(one, list) else one for one in ways] if isinstance(ways, list) else ways


def _way(raw: list[object]) -> str:
    remedy = "write a way of the axes, or three numbers: [0, 1, 1]"
    if len(raw) != 3:
        refuse("a way has three numbers, along x, y and z", remedy)
    ahead = [_number(one, remedy) for one in raw]
    if not any(ahead):
        refuse("this way leads nowhere", remedy)
    return way_word(ahead)


def _stops(raw: object) -> tuple[Vector, ...]:
    """Where a part comes past as it moves, each from where it is fitted; the last is where it lies then."""
    remedy = "write how far it goes along x, y and z in mm: [0, 0, 60], or a list of these for its stops"
    several = isinstance(raw, list) and bool(raw) and all(isinstance(one, list) for one in raw)
    stops = raw if several and isinstance(raw, list) else [raw]
    return tuple(_point(one, "a shift", remedy) for one in stops)


def _size(raw: object) -> Vector:
    remedy = "write size: [40, 20, 10]"
    if not isinstance(raw, list) or len(raw) != 3:
        refuse("a size has three numbers, along x, y and z", remedy)
    x, y, z = (_number(one, remedy) for one in raw)
    if min(x, y, z) <= 0:
        refuse("a box has some length each way, and this one has none", "write more than nothing for each")
    return x, y, z


def _degrees(raw: object) -> Fraction:
    remedy = f"write degrees, {MOST_TILT} at the most: 15"
    angle = _number(raw, remedy)
    if not 0 < angle <= MOST_TILT:
        refuse(f"a tilt is more than nothing and no more than {MOST_TILT} degrees", remedy)
    return angle


def _length(raw: object) -> Fraction:
    remedy = "write it in mm: 120"
    text = raw.strip() if isinstance(raw, str) else ""
    if re.search(r"[^0-9.+-]", text):
        try:
            length = parse_millimetres(text)
        except QuantityError as why:
            refuse(why.problem, why.remedy)
    else:
        length = _number(raw, remedy)
    if not 0 < length < MOST_MILLIMETRES:
        refuse(f"a length is more than nothing and less than {MOST_MILLIMETRES} mm", remedy)
    return length


def _spots(raw: object) -> list[Spot]:
    remedy = "write one [x, y] in mm for each fastener: [[0, 0], [80, 0]]"
    if not isinstance(raw, list):
        refuse(f"a list of places is wanted here, and this is {kind_of(raw)}", remedy)
    points = [raw] if len(raw) == 3 and not any(isinstance(one, list) for one in raw) else raw
    lengths = {len(one) if isinstance(one, list) else 0 for one in points}
    if 3 not in lengths and lengths - {2}:
        refuse("a place has two numbers, x and y", remedy)
    if len(lengths) > 1:
        refuse("a place has two numbers, or three in the machine's frame; all of a joint's as many", remedy)
    spots: list[Spot] = []
    for one in points:
        numbers = [_number(number, remedy) for number in one]
        spots.append((numbers[0], numbers[1], numbers[2]) if 3 in lengths else _flat(numbers))
    return spots


def _flat(numbers: list[Fraction]) -> tuple[float, float]:
    return float(numbers[0]), float(numbers[1])


def _people(raw: object) -> int:
    text = raw.strip() if isinstance(raw, str) else ""
    if not re.fullmatch(r"[0-9]{1,4}", text) or not 1 <= int(text) <= MOST_PEOPLE:
        what = f"'{quote(raw)}'" if isinstance(raw, str) else kind_of(raw)
        refuse(f"{what} is not a number of people", f"write a whole number from 1 to {MOST_PEOPLE}")
    return int(text)


def _share(raw: object) -> Fraction:
    text = raw.strip() if isinstance(raw, str) else ""
    found = re.fullmatch(r"(?:±|\+/?-|\+−)? ?([0-9]{1,3}(?:\.[0-9]{1,3})?) ?%", text)
    if found is None:
        what = f"'{quote(raw)}'" if isinstance(raw, str) else kind_of(raw)
        refuse(f"{what} is not a tolerance", "write it in per cent: 5 %")
    share = Fraction(found[1]) / 100
    if share == 0:
        refuse("a tolerance of 0 % can't be kept", "write it in per cent: 5 %")
    if share > MOST_TOLERANCE:
        most = int(MOST_TOLERANCE * 100)
        refuse(
            f"with a tolerance of {found[1]} % nearly any reading would do",
            f"write what the maker allows, {most} % at the most; left out, it is 5 %",
        )
    return share


def _day(raw: object) -> str:
    text = raw.strip() if isinstance(raw, str) else ""
    try:
        day = date.fromisoformat(text if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text) else "")
    except ValueError:
        what = f"'{quote(raw)}'" if isinstance(raw, str) else kind_of(raw)
        refuse(f"{what} is not a day", "write year, month and day: 2026-11-25")
    return day.isoformat()


_MM: dict[str, Any] = {"type": "number", "exclusiveMinimum": -MOST_MILLIMETRES}
_XYZ: dict[str, Any] = {"type": "array", "items": _MM, "minItems": 3, "maxItems": 3}
_XY: dict[str, Any] = {**_XYZ, "minItems": 2, "maxItems": 2}
_SIZE: dict[str, Any] = {**_XYZ, "items": {"type": "number", "exclusiveMinimum": 0}}
_WAY: dict[str, Any] = {"enum": [*WAYS]}
_HANDS: dict[str, Any] = {"type": ["integer", "null"], "minimum": 1, "maximum": MOST_PEOPLE}
_LONG: dict[str, Any] = {
    "anyOf": [
        {"type": "number", "exclusiveMinimum": 0},
        {"type": "string", "pattern": r"^\s*[0-9./ ]+[^0-9./ ]"},
        {"type": "null"},
    ]
}
_PLACES: dict[str, Any] = {
    "anyOf": [
        {"type": "array", "items": _XY},
        {"type": "array", "items": _XYZ},
        _XYZ,
        {"type": "null"},
    ],
    "examples": [[[0, 0], [80, 0]], [120, 40, 300]],
}
_DATE: dict[str, Any] = {"type": ["string", "null"], "pattern": r"^\d{4}-\d{2}-\d{2}$"}
_PER_CENT: dict[str, Any] = {"type": ["string", "null"], "pattern": r"^\s*(±|\+/?-)? ?[0-9.]+ ?%\s*$"}
_OUT: dict[str, Any] = {"anyOf": [{"enum": [*WAYS, ANY]}, _XYZ]}
_WAY_LIST: dict[str, Any] = {"anyOf": [*_OUT["anyOf"], {"type": "array", "items": _OUT}, {"type": "null"}]}

Corner = Annotated[Vector, PlainValidator(_corner), WithJsonSchema(_XYZ)]
Stops = Annotated[
    tuple[Vector, ...],
    PlainValidator(_stops),
    WithJsonSchema({"anyOf": [_XYZ, {"type": "array", "items": _XYZ, "minItems": 1}, {"type": "null"}]}),
]
Degrees = Annotated[
    Fraction,
    PlainValidator(_degrees),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "maximum": MOST_TILT}),
]
Size = Annotated[Vector, PlainValidator(_size), WithJsonSchema(_SIZE)]
Millimetres = Annotated[Fraction, PlainValidator(_length), WithJsonSchema(_LONG)]
Spots = Annotated[list[Spot], PlainValidator(_spots), WithJsonSchema(_PLACES)]
Ways = Annotated[list[Any], BeforeValidator(_ways), WithJsonSchema(_WAY_LIST)]
Way = Annotated[str, WithJsonSchema({"enum": [*WAYS, None]})]
People = Annotated[int, PlainValidator(_people), WithJsonSchema(_HANDS)]
Share = Annotated[Fraction, PlainValidator(_share), WithJsonSchema(_PER_CENT)]
Day = Annotated[str, PlainValidator(_day), WithJsonSchema(_DATE)]
