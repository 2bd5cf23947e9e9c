"""The shape of ``include``: an assembly that is described elsewhere, and how it fits this machine."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainValidator, TypeAdapter, WithJsonSchema

from sequencer.machine.facts.frame import WAYS
from sequencer.machine.facts.framing import AXES, STRAIGHT, Frame
from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import Count, Paths, Text, kind_of, refuse
from sequencer.machine.schema.frame_fields import Corner
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


def _frame(raw: object) -> Frame:
    remedy = "write [x, y, z] in mm, or {at: [620, 300, 0], along: [+y, -x, +z]}"
    about = {"at": raw} if isinstance(raw, list) else raw
    if not isinstance(about, dict) or not {"at"} <= {*about} <= {"at", "along"}:
        refuse(f"where its frame lies is wanted here, and this is {kind_of(raw)}", remedy)
    TypeAdapter(Corner).validate_python(about["at"])
    along = about.get("along") or list(STRAIGHT)
    ways = along if isinstance(along, list) else [along]
    if any(one not in WAYS for one in ways) or sorted(one[1] for one in ways) != list(AXES):
        refuse("its x, y and z run along three ways, one each of the machine's x, y and z", remedy)
    return Frame(tuple(about["at"]), tuple(ways))


_POINT: dict[str, Any] = {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3}
_ALONG: dict[str, Any] = {"type": "array", "items": {"enum": [*WAYS]}, "minItems": 3, "maxItems": 3}
_FRAME: dict[str, Any] = {
    "anyOf": [
        _POINT,
        {
            "type": "object",
            "properties": {"at": _POINT, "along": _ALONG},
            "required": ["at"],
            "additionalProperties": False,
        },
        {"type": "null"},
    ]
}

Lies = Annotated[Frame, PlainValidator(_frame), WithJsonSchema(_FRAME)]
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
    frame: Lies | None = key(
        "Where its frame lies in the machine's: [620, 300, 0] mm, or {at: [...], along: [+y, -x, +z]}."
    )
    tools: Annotated[dict[str, Text] | None, WithJsonSchema(_TOOLS)] = key(
        "Tools of this machine that stand for its own: {puller: long-puller}."
    )
    with_: Annotated[dict[str, Any] | None, WithJsonSchema(_VALUES)] = key(
        "Values for its parameters: {bolts: 5, head: 19}.", "with"
    )
    without: Paths | None = key("What this machine does not have: parts, joints (hub/clip), tasks, fluids.")

    @property
    def prefix(self) -> str:
        """What its names begin with here: ``rf-``."""
        return f"{self.as_}-" if self.as_ else ""
