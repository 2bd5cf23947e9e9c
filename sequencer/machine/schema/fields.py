"""The kinds of value that a machine file's keys take: how each is read, and what an editor is told of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Any, NoReturn, TypeVar

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from sequencer.machine.facts.condition import RUST
from sequencer.machine.faults import quote
from sequencer.quantities import (
    QuantityError,
    Stage,
    TorqueQuantity,
    parse_kilograms,
    parse_litres,
    parse_millimetres,
    parse_seconds,
    parse_stage,
    parse_time,
    parse_torque,
)

_Read = TypeVar("_Read")

MOST_HOURS = 1000
MOST_COUNT = 9999
MOST_MILLIMETRES = 100_000


def refuse(problem: str, remedy: str) -> NoReturn:
    """Refuse the value at hand.

    Raises:
        PydanticCustomError: Always; it carries both sentences.
    """
    raise PydanticCustomError("plain", "{problem}; {remedy}", {"problem": problem, "remedy": remedy})


def kind_of(raw: object) -> str:
    """What a value is, in a word for messages."""
    if isinstance(raw, dict):
        return "a mapping"
    if isinstance(raw, list):
        return "a list"
    return "nothing" if raw is None else f"the text '{quote(raw)}'"


def _text(raw: object) -> str:
    if not isinstance(raw, str):
        refuse(f"a text is wanted here, and this is {kind_of(raw)}", "write one text")
    return raw


def _quantity(parse: Callable[[str], _Read]) -> Callable[[Any], _Read]:
    def read(raw: object) -> _Read:
        try:
            return parse(_text(raw))
        except QuantityError as why:
            refuse(why.problem, why.remedy)

    return read


def _seconds(text: str, parse: Callable[[str], Fraction] = parse_seconds) -> Fraction:
    seconds = parse(text)
    if seconds > MOST_HOURS * 3600:
        raise QuantityError(
            f"{quote(text)} is longer than any job", "a number alone is in seconds; write s, min or h"
        )
    return seconds


def _length(raw: object) -> str:
    """A length, kept as it was written."""
    _quantity(parse_millimetres)(raw)
    return " ".join(_text(raw).split())


def _count(raw: object) -> int:
    text = _text(raw).strip()
    if not re.fullmatch(r"[0-9]{1,9}", text):
        refuse(f"'{quote(text)}' is not a count", "write a whole number: 4")
    count = int(text)
    if count == 0:
        refuse("a count of 0 holds nothing", "write how many there are, or take the entry out")
    if count > MOST_COUNT:
        refuse(f"{count} of them can't be meant", f"write a count of at most {MOST_COUNT}")
    return count


def _flag(raw: object) -> bool:
    word = _text(raw).strip().casefold()
    if word not in ("true", "yes", "false", "no"):
        refuse(f"'{quote(word)}' is neither true nor false", "write one of the two")
    return word in ("true", "yes")


def _way(raw: object) -> str:
    word = _text(raw).strip().casefold()
    if word != "back":
        refuse(f"'{quote(word)}' is no way that a task can be of alone", "write only: back, or take it out")
    return word


def _rust(raw: object) -> str:
    word = _text(raw).strip().casefold()
    if word not in RUST:
        refuse(f"'{quote(word)}' does not say how far rust has gone", f"write one of {', '.join(RUST)}")
    return word


def _years(raw: object) -> float:
    text = _text(raw).strip()
    number = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9])?) ?(?:y|yr|yrs|year|years)?", text, re.IGNORECASE)
    if number is None:
        refuse(f"'{quote(text)}' is no age", "write it in years: 12 years")
    return float(number[1])


def _price(raw: object) -> Fraction:
    text = _text(raw).strip()
    number = re.fullmatch(r"[^\d\s.,-]{0,4} ?([0-9]{1,9}(?:\.[0-9]{1,4})?) ?[^\d\s.,-]{0,4}", text)
    if number is None:
        refuse(f"'{quote(text)}' is not a price", "write a number, with a point before the cents: 4.50")
    return Fraction(number[1])


def one_or_list(raw: object) -> object:
    """One entry may stand without the brackets of a list."""
    return raw if isinstance(raw, list) or raw is None else [raw]


def _list_of(items: dict[str, Any], example: str) -> WithJsonSchema:
    schema = {"anyOf": [items, {"type": "array", "items": items}, {"type": "null"}], "examples": [example]}
    return WithJsonSchema(schema)


_WORD: dict[str, Any] = {"type": ["string", "number", "boolean"]}
_NAME: dict[str, Any] = {"type": ["string", "number"], "pattern": r"^[^/=]+$"}
_AIM = {"type": ["string", "number"], "pattern": r"^[^/=]+(=\s*(loose|aside|off)\s*)?$"}
_PATH = {"type": ["string", "number"], "pattern": r"^[^/=]+(/[^/=]+)?$"}
_STATE = {
    "type": "object",
    "minProperties": 1,
    "maxProperties": 1,
    "additionalProperties": {"enum": ["loose", "aside", "off"]},
    "propertyNames": {"pattern": r"^[^/=]+$"},
}
_ONE_OF = {"anyOf": [_PATH, _STATE]}
_ANY = {
    "type": "object",
    "properties": {"any": {"anyOf": [_ONE_OF, {"type": "array", "minItems": 1}]}},
    "required": ["any"],
    "additionalProperties": False,
}
_TIME = {
    "anyOf": [
        {"type": "number", "minimum": 0},
        {"type": "string", "pattern": r"^\s*[0-9.]"},
        {"type": "null"},
    ]
}
_PATTERN = {"enum": ["spiral", "cross", "line", None]}
_STAGE: dict[str, Any] = {"type": "string", "pattern": r"^\s*[0-9./ ]+[^0-9./ ]"}


def _with_unit(example: str) -> WithJsonSchema:
    return WithJsonSchema({"anyOf": [_STAGE, {"type": "null"}], "examples": [example]})


Pattern = Annotated[str, BeforeValidator(_text), WithJsonSchema(_PATTERN)]
Text = Annotated[str, BeforeValidator(_text), WithJsonSchema(_WORD)]
Seconds = Annotated[Fraction, PlainValidator(_quantity(_seconds)), WithJsonSchema(_TIME)]
Time = Annotated[
    Fraction, PlainValidator(_quantity(lambda text: _seconds(text, parse_time))), WithJsonSchema(_TIME)
]
Kilograms = Annotated[Fraction, PlainValidator(_quantity(parse_kilograms)), _with_unit("14 kg")]
Length = Annotated[str, PlainValidator(_length), _with_unit("12 mm")]
Litres = Annotated[
    tuple[Fraction, str],
    PlainValidator(lambda raw: (_quantity(parse_litres)(raw), " ".join(raw.split()))),
    _with_unit("1.2 L"),
]
Count = Annotated[
    int, PlainValidator(_count), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": MOST_COUNT})
]
Flag = Annotated[bool, PlainValidator(_flag), WithJsonSchema({"enum": [True, False, "yes", "no", None]})]
OneWay = Annotated[str, PlainValidator(_way), WithJsonSchema({"enum": ["back", None]})]
Rust = Annotated[str, PlainValidator(_rust), WithJsonSchema({"enum": [*RUST, None]})]
Years = Annotated[float, PlainValidator(_years), WithJsonSchema({"type": ["number", "string"]})]
Price = Annotated[
    Fraction, PlainValidator(_price), WithJsonSchema({"type": ["number", "string"], "minimum": 0})
]
TorqueAlone = Annotated[TorqueQuantity, PlainValidator(_quantity(parse_torque)), _with_unit("3 N.m")]
TorqueStage = Annotated[Stage, PlainValidator(_quantity(parse_stage)), _with_unit("47 N.m")]

# Lists are read entry by entry later, where the names in them are looked up.
Texts = Annotated[list[Any], BeforeValidator(one_or_list), _list_of(_WORD, "Hot.")]
Names = Annotated[list[Any], BeforeValidator(one_or_list), _list_of(_NAME, "[oil]")]
Aims = Annotated[list[Any], BeforeValidator(one_or_list), _list_of(_AIM, "[head, motor=loose]")]
Paths = Annotated[list[Any], BeforeValidator(one_or_list), _list_of(_PATH, "[motor/plug]")]
Needs = Annotated[
    list[Any],
    BeforeValidator(one_or_list),
    _list_of({"anyOf": [_PATH, _ANY, _STATE]}, "[guard, {motor: loose}]"),
]
Stages = Annotated[list[TorqueStage], BeforeValidator(one_or_list), _list_of(_STAGE, "[20 N.m, 90 deg]")]
_VALUES: dict[str, Any] = {
    "anyOf": [
        _NAME,
        {"type": "array", "minItems": 1, "items": _NAME},
        {
            "type": "object",
            "minProperties": 1,
            "additionalProperties": {"type": ["object", "null"], "additionalProperties": _WORD},
        },
    ]
}
_REPEATED: dict[str, Any] = {
    "type": ["object", "null"],
    "propertyNames": {"pattern": r"^[^<>./=\s]+$"},
    "additionalProperties": _VALUES,
    "examples": [{"side": ["left", "right"]}, {"side": {"left": {"stand": "left-wing"}}}],
}
_WALK = {"type": "array", "minItems": 3, "maxItems": 3, "prefixItems": [_NAME, _NAME, _TIME]}

# What it says is read before all else, and then nothing of it is left (``repeat``).
Repeated = Annotated[dict[str, Any], WithJsonSchema(_REPEATED)]
Walks = Annotated[
    list[Any], BeforeValidator(one_or_list), WithJsonSchema({"type": ["array", "null"], "items": _WALK})
]
