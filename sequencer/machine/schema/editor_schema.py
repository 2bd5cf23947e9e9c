"""The machine file as JSON Schema: completion and explanations in editors that know YAML."""

from __future__ import annotations

import copy
import re
from typing import Any

from sequencer.machine.schema.entries import MachineEntry

_MARK: dict[str, Any] = {"type": "string", "pattern": "<[^<>]+>"}
"""A mark of ``repeat`` where a number, a time or one of a few words is wanted."""


def editor_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of a machine file, every key with a line that explains it.

    It holds the shape and the spelling of keys; what names refer to is left to the checks.
    """
    # A copy: what the kinds of value say of themselves is in it as it stands, and stays as it is.
    schema = copy.deepcopy(MachineEntry.model_json_schema(by_alias=True))
    _tidy(schema)
    _allow_marks(schema)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Machine file",
        **schema,
    }


def _tidy(node: object) -> None:
    """Take out the titles that pydantic makes of key names, and the defaults that only say `left out`."""
    if isinstance(node, list):
        for one in node:
            _tidy(one)
    if isinstance(node, dict):
        if isinstance(node.get("title"), str):
            del node["title"]
        if node.get("default", ...) is None:
            del node["default"]
        for key, one in node.items():
            if key == "properties":
                for field in one.values():
                    _tidy(field)
            elif key != "examples":
                _tidy(one)


def _allow_marks(node: object) -> None:
    """Let a mark stand wherever a text of its own form, or a number, is asked for."""
    if isinstance(node, list):
        for one in node:
            _allow_marks(one)
    if not isinstance(node, dict):
        return
    for key, one in node.items():
        if key == "properties":
            for field in one.values():
                _allow_marks(field)
        elif key == "anyOf":
            _allow_marks([way for way in one if not _is_strict(way)])
        elif key not in ("examples", "propertyNames"):
            _allow_marks(one)
    if any(_is_strict(way) for way in node.get("anyOf", ())):
        node["anyOf"].append(_MARK)
    elif _is_strict(node):
        asked = {key: node.pop(key) for key in [*node] if key not in ("description", "examples")}
        node["anyOf"] = [asked, _MARK]


def _is_strict(node: dict[str, Any]) -> bool:
    """Whether it is one text or number, and no mark can be it."""
    given = node.get("type", ())
    kinds = {given} if isinstance(given, str) else {*given}
    if "enum" in node:
        return any(isinstance(one, str) for one in node["enum"])
    if "string" in kinds:
        return "pattern" in node and re.search(node["pattern"], "<mark>") is None
    return not kinds.isdisjoint({"number", "integer"}) and kinds.isdisjoint({"object", "array"})
