"""The JSON Schema (2020-12) of a kind of record, made from its class."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from enum import EnumType
from fractions import Fraction
from inspect import cleandoc
from typing import Any, Literal, get_args, get_origin

from sequencer.machine.trade.relations import Relation, relations
from sequencer.render.data.plain import Record, either, keys

_NAMES: Mapping[object, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Fraction: {"type": "number"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "format": "date-time"},
    type(None): {"type": "null"},
    Any: {},
}


def schema_of(shape: type[Record], **head: str) -> dict[str, Any]:
    """The schema of a kind of record: ``head`` at its top, the records inside it by name under ``$defs``."""
    inside: dict[str, Any] = {}
    made = _object(shape, inside)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **head, **made, "$defs": inside}


def _object(shape: type[Record], inside: dict[str, Any]) -> dict[str, Any]:
    properties: dict[str, Any] = {}
    required: list[str] = []
    for key in keys(shape):
        if key.flat:
            (flat,) = (one for one in either(key.type) if one is not type(None))
            made = _object(flat, inside)
            properties |= made["properties"]
            required += made["required"] if key.needed else []
            continue
        choices = [one for one in either(key.type) if key.needed or one is not type(None)]
        properties[key.written] = _any_of(choices, inside) | ({"description": key.says} if key.says else {})
        required += [key.written] if key.needed else []
    says = cleandoc(shape.__doc__ or "").replace("``", "`")
    return {"description": says, "type": "object", "properties": properties, "required": required}


def _any_of(choices: Sequence[Any], inside: dict[str, Any]) -> dict[str, Any]:
    made = [_type(one, inside) for one in choices]
    if len(made) > 1 and all("enum" in one for one in made):
        return {"enum": [word for one in made for word in one["enum"]]}
    return made[0] if len(made) == 1 else {"anyOf": made}


def _type(hint: Any, inside: dict[str, Any]) -> dict[str, Any]:  # noqa: ANN401 - any type that a key may have
    if hint in _NAMES:
        return dict(_NAMES[hint])
    if isinstance(hint, type) and issubclass(hint, Record):
        if hint.__name__ not in inside:
            inside[hint.__name__] = {}  # it may hold others of its own kind
            inside[hint.__name__] = _object(hint, inside)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    inner, of = get_args(hint), get_origin(hint)
    if hint is Relation:
        return {"enum": [one.key for one in relations()]}
    if isinstance(hint, EnumType) or of is Literal:
        return {"enum": list(inner) or [one.value for one in hint]}
    if issubclass(of, Mapping):
        return {"type": "object", "additionalProperties": _any_of(either(inner[1]), inside)}
    return {"type": "array", "items": _any_of(either(inner[0]), inside)}
