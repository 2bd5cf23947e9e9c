"""``sequencer schema``: the machine file as JSON Schema, for editors."""

from __future__ import annotations


def schema() -> None:
    """Print the machine file's JSON Schema, for editors.

    Example: sequencer schema > machine.schema.json
    """
    from sequencer.cli.shared.output import print_json
    from sequencer.machine import json_schema

    print_json(json_schema())
