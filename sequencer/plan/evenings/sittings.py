"""A plan in sittings, as values: what is told of it needs no search."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from typing import Generic, TypeVar

from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.hazards.stops import Stop
from sequencer.plan.hours.hours import Hours
from sequencer.plan.plan import Plan, Step

P = TypeVar("P", bound=Plan)


class EndReason(Enum):
    """Why a sitting ends where it does; the value is how data says it."""

    DONE = "all is done"
    LATE = "the next place to stop comes too late"
    CURE = "what comes next waits for a cure"
    SPREAD = "going on would save nothing"
    LONG = "no place to stop comes sooner"
    """It is longer than was wished."""


@dataclass(frozen=True)
class Sitting:
    """A run of steps that is done in one go; all times with setting out and clearing up.

    Attributes:
        number: Counts from 1 through the plan.
        steps: Its steps.
        seconds: By the plan's times, getting to the first step with empty hands included.
        stop: In what state it leaves the machine; the last one leaves it as the plan does.
        over: Seconds by which it is longer than was wished, with the wished chance, since no place to stop
            comes sooner.
        hours: How long it really takes.
        chance: Of ending within the wished length, from 0 to 1.
        why: Why it ends there; ``next``: the step after which work might stop next, where that is why, and
            ``next_chance``: of being there in time.
    """

    number: int
    steps: tuple[Step, ...]
    seconds: Fraction
    stop: Stop
    over: Fraction
    hours: Hours
    chance: float
    why: EndReason
    next: int | None = None
    next_chance: float | None = None

    @property
    def first(self) -> int:
        """The number of its first step."""
        return self.steps[0].number

    @property
    def last(self) -> int:
        """The number of its last step."""
        return self.steps[-1].number


@dataclass(frozen=True)
class Evenings(Generic[P]):
    """A plan in sittings.

    Attributes:
        plan: In the order that was chosen for them.
        wish: What they were to be.
        at_least: No order needs fewer sittings; 0 where that was not looked into.
        proven: No order needs fewer, and none with as few takes less time.
        shortest: Where sittings run over: the shortest length that would do for all of them, as far as is
            known; None where none does.
        never_under: None shorter than this would do.
        day: Seconds of the quickest order in one go, setting out and clearing up included.
    """

    plan: P
    sittings: tuple[Sitting, ...]
    wish: SittingsWish
    at_least: int
    proven: bool
    shortest: Fraction | None
    never_under: Fraction
    day: Fraction

    @property
    def seconds(self) -> Fraction:
        """All sittings by the plan's times."""
        return sum((one.seconds for one in self.sittings), Fraction(0))

    @property
    def hours(self) -> Hours:
        """How long all of them really take: to set out and clear up has no luck of its own."""
        told, around = self.plan.hours, float(self.seconds - self.plan.totals.seconds)
        return replace(
            told,
            low=round(told.low + around),
            likely=round(told.likely + around),
            high=round(told.high + around),
        )

    @property
    def fewest(self) -> bool:
        """Whether it is proven that there can't be fewer."""
        return len(self.sittings) <= self.at_least
