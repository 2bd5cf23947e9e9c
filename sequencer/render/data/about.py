"""What several kinds of object have: whose it is, what it costs, a place in the file."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Literal, Protocol

from sequencer.graph.targets import Target
from sequencer.machine.model import Machine
from sequencer.render.data.plain import Record
from sequencer.version import __version__

VERSION: Literal[1] = 1
"""Raised when the meaning of a key changes; new keys may come at any time."""

MADE_BY = f"sequencer {__version__}"


class AboutData(Record):
    """Whose it is and who made it."""

    version: Literal[1]
    made_by: str
    machine: str
    file: str
    targets: Annotated[Sequence[str], "What the job is for, as the options say it."]


class Aimed(Protocol):
    """A plan, or a find, for targets of a machine."""

    @property
    def machine(self) -> Machine:
        """The machine."""

    @property
    def targets(self) -> tuple[Target, ...]:
        """Its targets."""


def about(found: Aimed) -> AboutData:
    """The head of what is found for targets of a machine."""
    machine, targets = found.machine, [str(target) for target in found.targets]
    return AboutData.of(machine, version=VERSION, made_by=MADE_BY, machine=machine.name, targets=targets)


class PlaceData(Record):
    """A place in the machine file."""

    file: str
    line: int


class OrderKnownData(Record):
    """Pairs of things that the job does of which more is known than which came off first; and all pairs."""

    known: int
    pairs: int


class DoubtData(Record):
    """What makes a job's hours uncertain."""

    subject: Annotated[str, "A joint, part, task or fluid, as operations name it."]
    share: Annotated[float, "Of what is uncertain beside what all times share, from 0 to 1."]


class TotalsData(Record):
    """What a sequence costs."""

    seconds: Fraction
    tool_changes: int
    reach_arounds: int
    range_seconds: Annotated[Sequence[int] | None, "Eight times in ten the job's own time lies between."] = (
        None
    )
    likely_seconds: Annotated[int | None, "As often longer as shorter, mishaps counted in."] = None
    uncertain: Annotated[Sequence[DoubtData] | None, "What most of the uncertainty comes from."] = None
    practice_seconds: Annotated[
        Fraction | None,
        "What good practice adds, where it is asked for; at the least, where the plain order is not proven.",
    ] = None
