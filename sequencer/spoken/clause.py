"""What one clause of a line says."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from sequencer.machine.heard.joint import JointSaid
from sequencer.spoken import vocabulary
from sequencer.spoken.acting import Acted
from sequencer.spoken.names import known_name
from sequencer.spoken.values import Heard, Name, Remark, Spill, ToldFigure, ToldReason


@dataclass
class Piece:
    """What a clause says.

    Attributes:
        text: The clause, as it was said.
        bare: A number by itself: the size of a head, or a count.
        count: How many of the joint before: ``2 of them``.
        noted_on: What follows in the line belongs to the note.
        unsure: Words that stand beside what was read and are none of it.
        doubt: A torque without a unit that is one.
        task: The clause is work that takes nothing off.
        note: The clause is a remark: its words.
        rest: Words that nothing has understood.
    """

    text: str
    act: Acted | None = None
    name: Name | None = None
    joints: list[JointSaid] = field(default_factory=list)
    bare: str | None = None
    position: Heard[str] | None = None
    spot: Heard[str] | None = None
    way_of: list[Name | ToldReason] = field(default_factory=list)
    spills: list[Spill] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    tool: Heard[str] | None = None
    weight: Heard[float] | None = None
    figure: ToldFigure | None = None
    source: str | None = None
    task: str = ""
    note: str = ""
    noted_on: bool = False
    unsure: str = ""
    doubt: str = ""
    count: int | None = None
    rest: list[str] = field(default_factory=list)
    owner: Name | None = None


_PRONOUN = re.compile(r"\b(?:it|that)\b|(?<!of )\bthem\b")


def told_of(pieces: Sequence[Piece], parts: Mapping[str, str]) -> Name | None:
    """``side cover leaks, took it off``: the thing of which an earlier clause told something."""
    acted = next((n for n, one in enumerate(pieces) if one.act is not None), 0)
    if not _PRONOUN.search(pieces[acted].text.casefold()):
        return None
    for piece in reversed(pieces[:acted]):
        words = piece.text.split()
        for end in range(min(len(words) - 1, _LONG), 0, -1):
            thing = " ".join(words[:end]).removeprefix("the ").removeprefix("The ")
            behind = {one.casefold() for one in words[end + 1 :]}
            if not behind.isdisjoint(vocabulary.nouns()):
                continue  # what sits behind the glove box: which of the two came off?
            if words[end].casefold() in vocabulary.happening() and vocabulary.is_thing(thing):
                return known_name(thing, parts)
    return None


_LONG = 7
"""Words of a name."""
