"""What every mapping with known keys in a machine file has in common, and how such models are walked."""

from __future__ import annotations

import types
import typing
from typing import Annotated, Any, ClassVar, TypeGuard

from pydantic import BaseModel, ConfigDict, GetJsonSchemaHandler, model_validator
from pydantic_core import CoreSchema


class Entry(BaseModel):
    """A mapping with known keys.

    Attributes:
        called: What messages call it, with its article.
        open_keys: Keys that mean something even with nothing after them.
        may_be_empty: Nothing at all after its colon is the same as an empty mapping.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)
    called: ClassVar[str] = "this"
    open_keys: ClassVar[frozenset[str]] = frozenset()
    may_be_empty: ClassVar[bool] = True

    @model_validator(mode="before")
    @classmethod
    def _leave_out_what_is_empty(cls, raw: object) -> object:
        if raw is None:
            return {}
        if not isinstance(raw, dict):
            return raw
        filled = {key: {} if value is None and key in cls.open_keys else value for key, value in raw.items()}
        known = cls.keys()
        return {key: value for key, value in filled.items() if value not in (None, "") or key not in known}

    @classmethod
    def keys(cls) -> dict[str, Any]:
        """The keys as a file writes them, and the annotation of each."""
        return {field.alias or name: field.annotation for name, field in cls.model_fields.items()}

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Let an editor know what may be left empty."""
        schema = handler.resolve_ref_schema(handler(core))
        if cls.may_be_empty:
            schema["type"] = ["object", "null"]
        return schema


def is_entry(annotation: object) -> TypeGuard[type[Entry]]:
    """Whether it is an entry, not a mapping of names, a list or a plain value."""
    return isinstance(annotation, type) and issubclass(annotation, Entry)


def inner(annotation: object) -> object:
    """What the names of a mapping or the places of a list hold, where that is an entry."""
    inside = (narrow(one) for one in typing.get_args(annotation))
    return next((one for one in inside if is_entry(one)), None)


def narrow(annotation: object) -> object:
    """An annotation without ``Annotated`` around it and without ``None`` beside it."""
    while typing.get_origin(annotation) is Annotated:
        annotation = typing.get_args(annotation)[0]
    if typing.get_origin(annotation) in (types.UnionType, typing.Union):
        annotation = next(narrow(one) for one in typing.get_args(annotation) if one is not type(None))
    return annotation
