"""The differences of two machines as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated, Any

from sequencer.document.comparing.differences import MachineDifference
from sequencer.document.comparing.facts import Fact
from sequencer.machine.model import Machine
from sequencer.render.data.plain import Record


class SaidData(Record):
    """What one of the files says."""

    said: Annotated[str, "Empty where it is only there."]
    file: str | None
    line: int | None


class DifferenceData(Record):
    """What the two have differently; null where one of them has nothing of it."""

    group: Annotated[str, "parts, way, fasteners, heads, places, torques, fluids, tasks …, by their weight."]
    about: Annotated[str, "By name: head/bolts, task raise."]
    label: str
    what: Annotated[str, "What of it; empty where it is there in one file alone."]
    one: SaidData | None
    other: SaidData | None


class ComparedData(Record):
    """Two machines held against each other."""

    one: str
    other: str
    differences: Sequence[DifferenceData]


def compared_json(one: Machine, other: Machine, found: Iterable[MachineDifference]) -> dict[str, Any]:
    """All differences, the most important first."""
    told = [DifferenceData.of(each, one=_said(each.one), other=_said(each.other)) for each in found]
    return ComparedData(one=one.file, other=other.file, differences=told).plain()


def _said(fact: Fact | None) -> SaidData | None:
    if fact is None:
        return None
    place = fact.place
    return SaidData(said=fact.said, file=place.file if place else None, line=place.line if place else None)
