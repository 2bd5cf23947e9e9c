"""The options that divide a job into sittings: one group for every command that plans."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Annotated, TypeVar

from sequencer.cli.shared.declared import option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.plan.evenings.sittings import Evenings
    from sequencer.plan.evenings.wish import SittingsWish
    from sequencer.plan.plan import Plan

P = TypeVar("P", bound="Plan")

SittingLengths = Annotated[
    list[str],
    option(
        "--sitting",
        "TIME",
        "Split the job into sittings no longer than this: 90min, 2 h. Repeat for sittings that differ; "
        "the last length is used again.",
    ),
]
Until = Annotated[
    str | None,
    option(
        "--until",
        "HH:MM",
        "The first sitting starts now and ends at this time; the others are as --sitting says, or just "
        "as long.",
    ),
]
Chance = Annotated[
    float | None,
    option("--chance", "SHARE", "How sure you want to be of ending each sitting on time. Left out: 0.8."),
]


@dataclass(frozen=True)
class Cut:
    """The options that divide a job into sittings."""

    sitting: SittingLengths = field(default_factory=list)
    until: Until = None
    chance: Chance = None

    def wish(self, usual: Sequence[int] = (), sure: float | None = None) -> SittingsWish | None:
        """What they ask for; where they name none, the ``usual`` sittings of a job, in minutes, or None.

        ``sure`` is the chance that the job is usually planned for.

        Raises:
            SequencerError: A time can't be read, or a chance is given for no sitting.
        """
        from sequencer.errors import SequencerError
        from sequencer.plan.evenings.wish import CHANCE, SittingsWish, seconds_in, seconds_until
        from sequencer.quantities import QuantityError

        try:
            lengths = [seconds_in(one) for one in self.sitting]
        except QuantityError as fault:
            raise SequencerError(f"--sitting: {fault.problem}", fault.remedy) from fault
        if self.until is not None:
            lengths.insert(0, seconds_until(self.until, datetime.now().astimezone()))
        lengths = lengths or [seconds_in(str(minutes)) for minutes in usual]
        if lengths:
            said = (one for one in (self.chance, sure) if one is not None)
            return SittingsWish.of(lengths, next(said, CHANCE))
        if self.chance is not None:
            raise SequencerError("--chance is that of ending a sitting on time", "add --sitting 90min")
        return None


def divided(plan: P, wish: SittingsWish | None) -> tuple[P, Evenings[P] | None]:
    """The plan in the order that its sittings ask for, and how it is divided; as it is where none are."""
    if wish is None:
        return plan, None
    from sequencer.plan.evenings.evenings import in_sittings

    found = in_sittings(plan, wish)
    return found.plan, found
