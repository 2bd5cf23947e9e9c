"""The machine file: read into the model with file, line and column for every fault.

Importing this is cheap; the YAML parser and the schema are loaded on the first reading.
"""

from __future__ import annotations

from typing import Any

from sequencer.machine.faults import Fault, MachineFileError
from sequencer.machine.model import Machine, Place
from sequencer.machine.reading import Reading, load, read, read_text

__all__ = [
    "Fault",
    "Machine",
    "MachineFileError",
    "Place",
    "Reading",
    "json_schema",
    "load",
    "read",
    "read_text",
]


def json_schema() -> dict[str, Any]:
    """The machine file as JSON Schema, 2020-12, for completion and explanations in editors that know YAML."""
    from sequencer.machine.schema.editor_schema import editor_schema

    return editor_schema()
