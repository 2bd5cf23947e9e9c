"""Records: each kind of JSON object states its keys once, in a class, and one rule writes them all.

Fractions are written as numbers, whole where they are whole; dates by ISO 8601; enums as their value.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, fields
from datetime import date
from enum import Enum
from fractions import Fraction
from types import UnionType
from typing import Any, ClassVar, Self, Union, dataclass_transform, get_args, get_origin, get_type_hints

from sequencer.machine.trade.relations import Relation

FLAT = object()
"""Marks a key that holds a record: its keys are written among those around it."""


@dataclass_transform(frozen_default=True, kw_only_default=True)
class Record:
    """An object of the JSON. ``key: Annotated[type, "what it means"]``; without a word where the key says it.

    A key with a default is left out where it is None; all others are always there.
    """

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    def __init_subclass__(cls) -> None:
        dataclass(frozen=True, kw_only=True)(cls)

    @classmethod
    def of(cls, source: object, **more: object) -> Self:
        """The record of ``source``: a key that ``more`` does not give is its attribute of that name.

        What belongs into a record, too, becomes one by the same rule.
        """
        asked = {key.name: key for key in keys(cls)}
        taken = {
            name: getattr(source, name)
            for name, key in asked.items()
            if name not in more and (key.needed or hasattr(source, name))
        }
        given: dict[str, Any] = taken | more
        return cls(**{name: _shaped(asked[name].type, value) for name, value in given.items()})

    def plain(self) -> dict[str, Any]:
        """The object as JSON has it."""
        made: dict[str, Any] = plain(self)
        return made


@dataclass(frozen=True)
class Key:
    """A key of a record, its type without what is annotated, and what that says.

    Attributes:
        name: The attribute's: ``class_`` for ``class``, which Python keeps for itself.
    """

    name: str
    type: Any
    says: str
    flat: bool
    needed: bool

    @property
    def written(self) -> str:
        """The key as JSON has it."""
        return self.name.rstrip("_")


_KNOWN: dict[type, tuple[Key, ...]] = {}


def keys(shape: type[Record]) -> tuple[Key, ...]:
    """The keys of a kind of record, in the order in which they are written."""
    if shape not in _KNOWN:
        _KNOWN[shape] = tuple(_keys(shape))
    return _KNOWN[shape]


def _keys(shape: type[Record]) -> Iterator[Key]:
    types = get_type_hints(shape, include_extras=True)
    for field in fields(shape):
        hint = types[field.name]
        said = getattr(hint, "__metadata__", ())
        bare = get_args(hint)[0] if said else hint
        says = " ".join(one for one in said if isinstance(one, str))
        yield Key(field.name, bare, says, FLAT in said, field.default is MISSING)


def either(hint: object) -> tuple[Any, ...]:
    """The types of which a value may be any: those of a union, or the one that there is."""
    return get_args(hint) if get_origin(hint) in (Union, UnionType) else (hint,)


def _shaped(hint: object, value: Any) -> Any:  # noqa: ANN401 - whatever the key holds
    """A value as its key has it: records made of what they tell of, by itself, in rows and by name."""
    if isinstance(value, Record) or value is None:
        return value
    for one in either(hint):
        inner = get_args(one)
        if isinstance(one, type) and issubclass(one, Record):
            return one.of(value)
        if inner and isinstance(value, Mapping):
            return {name: _shaped(inner[-1], thing) for name, thing in value.items()}
        if inner and isinstance(value, Iterable) and not isinstance(value, str):
            return [_shaped(inner[0], thing) for thing in value]
    return value


def plain(value: Any) -> Any:  # noqa: ANN401 - whatever a record holds
    """What a record holds, as JSON has it: objects, lists, text, numbers, true, false, null."""
    match value:
        case None | str() | bool() | int() | float():
            return value
        case Enum() | Relation():
            return value.value if isinstance(value, Enum) else value.key
        case Fraction():
            return int(value) if value.denominator == 1 else float(value)
        case date():
            return value.isoformat()
        case Record() | Mapping():
            told = _told(value) if isinstance(value, Record) else value
            return {str(name): plain(thing) for name, thing in told.items()}
    return [plain(thing) for thing in value]


def _told(record: Record) -> dict[str, object]:
    """The keys of a record that are written, those of flat ones among them."""
    made: dict[str, object] = {}
    for key in keys(type(record)):
        value = getattr(record, key.name)
        if key.flat and value is not None:
            made |= _told(value)
        elif key.needed or value is not None:
            made[key.written] = value
    return made
