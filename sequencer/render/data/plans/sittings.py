"""The sittings of a plan as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any, Literal

from sequencer.document.evenings.sittings import stop_words, why_words
from sequencer.plan.evenings.sittings import EndReason, Evenings, Sitting
from sequencer.plan.hazards.stops import Left, Verdict
from sequencer.plan.plan import Plan
from sequencer.render.data.plain import Record

Way = Literal["in", "back"]


class LeftData(Record):
    """What is left in a state of its own when work stops."""

    state: Left
    subject: str
    unsafe: Annotated[bool, "Nobody should walk away from it."]
    look: Annotated[bool, "It has to be looked at before anybody walks away: nothing says what holds it."]


class SittingData(Record):
    """A piece of the job. Its times are with setting out and clearing up."""

    number: int
    way: Way
    first: Annotated[int, "The number of its first step."]
    last: int
    steps: Sequence[int]
    seconds: Annotated[Fraction, "Getting to the first step with empty hands included."]
    over_seconds: Annotated[
        Fraction, "By so much it has to be longer, to be as sure to end in time as wished."
    ]
    range_seconds: Annotated[Sequence[int], "Eight times in ten it takes between."]
    likely_seconds: int
    chance: Annotated[float, "Of ending within the wished length."]
    ends_way: bool
    why: Annotated[EndReason, "Why it ends there."]
    next: Annotated[int | None, "The step after which work might stop next, where that is why."]
    next_chance: Annotated[float | None, "Of being there in time."]
    safe: Annotated[bool, "Whether it is known that the machine may be left so."]
    verdict: Verdict
    left: Annotated[Sequence[LeftData], "What is open, held, drained, or to be minded."]
    words: Sequence[str]


class DivisionData(Record):
    """How good the sittings of a plan are."""

    lengths_seconds: Annotated[Sequence[Fraction], "As they were wished for; the last goes on."]
    chance: Annotated[float, "As it was wished for."]
    at_least: Annotated[int, "Proven: no order needs fewer sittings; 0 where they run over."]
    proven: Annotated[bool, "No order needs fewer, and none with as few takes less time."]
    shortest_seconds: Annotated[
        Fraction | None, "Where they run over: so long each would have to be at the most, as far as is known."
    ]
    never_under_seconds: Annotated[Fraction, "Proven: shorter ones would not do."]
    seconds: Annotated[Fraction, "All sittings by the file's times."]
    likely_seconds: Annotated[int, "What they really take: as often longer as shorter."]
    range_seconds: Annotated[Sequence[int], "Eight times in ten they take between so long in all."]
    day_seconds: Annotated[Fraction, "The quickest order in one go."]


def sitting_data(plan: Plan, number: int, sitting: Sitting) -> SittingData:
    """A sitting of a plan, under its number through the whole job."""
    return SittingData.of(
        sitting,
        number=number,
        way="back" if plan.back else "in",
        steps=[step.number for step in sitting.steps],
        over_seconds=sitting.over,
        range_seconds=(sitting.hours.low, sitting.hours.high),
        likely_seconds=sitting.hours.likely,
        ends_way=sitting.steps[-1] is plan.steps[-1],
        safe=sitting.stop.safe,
        verdict=sitting.stop.verdict,
        left=[LeftData.of(one, state=one.left) for one in sitting.stop.loose],
        words=[why_words(sitting), *stop_words(plan, sitting)],
    )


def division_data(told: Evenings[Any]) -> DivisionData:
    """How good they are."""
    return DivisionData.of(
        told,
        lengths_seconds=told.wish.lengths,
        chance=told.wish.chance,
        shortest_seconds=told.shortest,
        never_under_seconds=told.never_under,
        likely_seconds=told.hours.likely,
        range_seconds=(told.hours.low, told.hours.high),
        day_seconds=told.day,
    )
