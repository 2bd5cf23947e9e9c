"""What else could be done while the job is open."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any, Literal

from sequencer.plan.extras import Extras
from sequencer.render.data.about import AboutData, about
from sequencer.render.data.plain import FLAT, Record


class ExtraRenewData(Record):
    """Something that is renewed with the part."""

    item: str
    count: int
    price: Annotated[Fraction | None, "Of one, in whatever money the author thinks in."]
    interval: Annotated[str | None, "How often it is renewed anyway, in the author's words."]


class ExtraData(Record):
    """One more part to take off while the job is open."""

    part: str
    off_anyway: Annotated[bool, "It comes off with this job."]
    possible: bool
    now_seconds: Annotated[Fraction | None, "What it adds to this job."]
    alone_seconds: Annotated[Fraction | None, "What it takes by itself on another day."]
    share_saved: Fraction | None
    proven: bool
    worth_doing: bool
    price: Annotated[Fraction | None, "Of all that is renewed."]
    renew: Sequence[ExtraRenewData]


class ExtrasData(Record):
    """What each other part would add to a job."""

    about: Annotated[AboutData, FLAT]
    kind: Literal["extras"]
    both_ways: Annotated[bool, "Times are for the way in and back."]
    seconds: Fraction
    likely_seconds: Annotated[int, "Of the way in: as often longer as shorter."]
    range_seconds: Annotated[Sequence[int], "Eight times in ten the way in takes between so long."]
    proven: bool
    interrupted: Annotated[bool, "Some prices are missing: the work was cut short."]
    extras: Sequence[ExtraData]


def extras_json(found: Extras) -> dict[str, Any]:
    """The same as plain data."""
    return ExtrasData.of(
        found,
        about=about(found),
        kind="extras",
        likely_seconds=found.hours.likely,
        range_seconds=(found.hours.low, found.hours.high),
        extras=[
            ExtraData.of(
                extra,
                off_anyway=extra.comes_off_anyway,
                now_seconds=extra.now,
                alone_seconds=extra.alone,
            )
            for extra in found.extras
        ],
    ).plain()
