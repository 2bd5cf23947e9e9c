"""The machine file as JSON Schema: completion and explanations in editors that know YAML."""

from __future__ import annotations

from typing import Any

from sequencer.machine.schema import MachineEntry


def editor_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of a machine file, every key with a line that explains it.

    It holds the shape and the spelling of keys; what names refer to is left to the checks.
    """
    schema = MachineEntry.model_json_schema(by_alias=True)
    _tidy(schema)
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
