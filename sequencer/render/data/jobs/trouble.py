"""The usual ways out of a stuck fastener."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.plan.hazards.trouble import Freeing
from sequencer.render.data.plain import Record


class WayData(Record):
    """One way out."""

    name: str
    label: Annotated[str, "What is done, with the joint's name in it."]
    seconds: Annotated[Fraction, "The work, for as many fasteners as are in trouble."]
    wait_seconds: Annotated[Fraction, "What it has to act; other steps go on meanwhile."]
    tools: Sequence[str]
    cautions: Sequence[str]
    spoils: Annotated[bool, "The fastener or the part is not fit for use afterwards."]
    barred: Annotated[str | None, "Why it is not to be done here; null where it may be."]
    source: str


class WaysData(Record):
    """The ways, the gentlest first."""

    ways: Sequence[WayData]


def ways_json(ways: Sequence[Freeing]) -> dict[str, Any]:
    """The same as plain data."""
    return WaysData(ways=[WayData.of(way) for way in ways]).plain()
