"""The shape of what a file says of its type: what was taken from it, what varies in real ones."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated, Any

from pydantic import Field, PlainValidator, WithJsonSchema

from sequencer.machine.faults import quote
from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import Names, Paths, Text, Texts, kind_of, refuse
from sequencer.machine.schema.key_words import key

_CHANCE: dict[str, Any] = {"type": "string", "pattern": r"^\s*[0-9]+ in [0-9]+\s*$", "examples": ["1 in 4"]}


def _chance(raw: object) -> Fraction:
    remedy = "write how many of how many: 1 in 4"
    found = re.fullmatch(r"\s*([0-9]{1,4}) in ([0-9]{1,4})\s*", raw) if isinstance(raw, str) else None
    if found is None:
        what = f"'{quote(raw)}'" if isinstance(raw, str) else kind_of(raw)
        refuse(f"{what} is no chance", remedy)
    some, of = int(found[1]), int(found[2])
    if not 0 < some < of:
        refuse(f"'{quote(found[0].strip())}' is no chance between never and always", remedy)
    return Fraction(some, of)


Chance = Annotated[Fraction, PlainValidator(_chance), WithJsonSchema({"anyOf": [_CHANCE, {"type": "null"}]})]
MISSING = "How many real ones have not got it: 1 in 4."
OTHERWISE = "How many real ones have it otherwise than this file says: 1 in 3."


class PartVariesEntry(Entry):
    """What real ones have otherwise, of a part."""

    called = "what varies of a part"
    may_be_empty = False
    missing: Chance | None = key(MISSING)
    from_: Names | None = key("Other positions that it is worked on from.", "from")
    also: Texts | None = key("What else may be in its way, in words: [Heat shield].")
    chance: Chance | None = key(OTHERWISE)


class JointVariesEntry(Entry):
    """What real ones have otherwise, of a joint."""

    called = "what varies of a joint"
    may_be_empty = False
    missing: Chance | None = key(MISSING)
    head: Texts | None = key("Other heads that it has: [8, T30].")
    count: Texts | None = key("Other numbers of fasteners: [4, 8].")
    chance: Chance | None = key(OTHERWISE)


class FromTypeEntry(Entry):
    """The type that this file was made from; written by the survey, and made shorter by the work."""

    called = "where the file is from"
    may_be_empty = False
    machine: Text = Field(description="The type: a machine of the library, or a file.")
    version: Text | None = key("By which one state of the type's file is told from another.")
    unsure: Paths | None = key("Parts and joints that are as in the type, and that nobody confirmed.")
