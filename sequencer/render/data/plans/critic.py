"""What the critic found, as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated, Any, Literal

from sequencer.critic import Code, Severity
from sequencer.document.plans.critic import Oddity
from sequencer.machine.model import Machine
from sequencer.render.data.about import MADE_BY, VERSION, PlaceData
from sequencer.render.data.plain import Record


class OddityData(Record):
    """Something that no rule forbids, and nobody would do."""

    code: Annotated[Code, "Its kind."]
    severity: Annotated[Severity, "What it can come to."]
    about: Annotated[str, "A part, `part/joint`, a task, a fluid, a position, as the file names it."]
    says: Annotated[str, "What is odd."]
    mend: Annotated[str, "What to write into the file."]
    place: PlaceData


class CriticData(Record):
    """All that is odd about a machine file."""

    version: Literal[1]
    made_by: str
    machine: str
    file: str
    oddities: Annotated[Sequence[OddityData], "The worst first."]


def critic_json(machine: Machine, found: Iterable[Oddity]) -> dict[str, Any]:
    """The same as plain data."""
    told = oddities_data(found)
    return CriticData.of(
        machine, version=VERSION, made_by=MADE_BY, machine=machine.name, oddities=told
    ).plain()


def oddities_data(found: Iterable[Oddity]) -> list[OddityData]:
    """The oddities alone, for what holds them among other things."""
    return [OddityData.of(one, says=one.odd) for one in found]
