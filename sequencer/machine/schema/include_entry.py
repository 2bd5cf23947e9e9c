"""The shape of ``include``: an assembly that is described elsewhere, and how it fits this machine."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema

from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import Count, Paths, Text
from sequencer.machine.schema.key_words import key

INCLUDE = "include"
"""The key that includes assemblies."""

_PLACES: dict[str, Any] = {
    "anyOf": [
        {"type": ["string", "number", "null"]},
        {"type": "object", "additionalProperties": {"type": ["string", "number"]}},
    ]
}
_TOOLS: dict[str, Any] = {
    "type": ["object", "null"],
    "additionalProperties": {"type": ["string", "number"]},
}
_VALUES: dict[str, Any] = {"type": ["object", "null"]}


def _named(raw: object) -> object:
    """One place alone is that of the assembly's first position."""
    return {"": raw} if isinstance(raw, str) else raw


Places = Annotated[dict[str, Text], BeforeValidator(_named), WithJsonSchema(_PLACES)]


class IncludeEntry(Entry):
    """An assembly, and how it fits this machine."""

    called = "an include"
    may_be_empty = False
    assembly: Text = Field(
        description="One of the library, by its name: wheel-end; or a file beside this one: axle.yaml."
    )
    version: Count | None = key("The version of it that this file was made with.")
    as_: Text = Field(alias="as", description="What its names begin with here: hub as rf is rf-hub.")
    where: Text | None = key("What its labels end with: right front.")
    at: Places | None = key(
        "The position that stands for its first one: arch; or for each of several: {wheel: arch}."
    )
    tools: Annotated[dict[str, Text] | None, WithJsonSchema(_TOOLS)] = key(
        "Tools of this machine that stand for its own: {puller: long-puller}."
    )
    with_: Annotated[dict[str, Any] | None, WithJsonSchema(_VALUES)] = key(
        "Values for its parameters: {bolts: 5, head: 19}.", "with"
    )
    without: Paths | None = key("What this machine does not have: parts, joints (hub/clip), tasks, fluids.")
