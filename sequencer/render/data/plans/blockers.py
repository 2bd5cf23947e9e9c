"""What is in the way."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any, Literal

from sequencer.document.plans.blockers import surprise_words, thing_words
from sequencer.graph.blocker_tree import Call, Obstacle
from sequencer.graph.operations import Because
from sequencer.machine.trade.relations import Relation
from sequencer.plan.blockers import InTheWay, Saved, also_stay, reasons
from sequencer.plan.prices.prices import Price
from sequencer.render.data.about import AboutData, PlaceData, TotalsData, about
from sequencer.render.data.plain import FLAT, Record


class PriceData(Record):
    """A changed job."""

    seconds: Annotated[Fraction | None, "null where it can't be done."]
    bound_seconds: Fraction
    proven: bool


class CallData(Record):
    """Why a thing is in the way."""

    waits: Annotated[str | None, "The operation that waits; null for the target itself."]
    waits_for: str
    relation: Annotated[Relation | Because, "The word of the machine file for it."]
    text: str
    place: PlaceData


class ThingData(Record):
    """A part, task or fluid that is in the way, or a target."""

    name: str
    is_part: bool
    says: Annotated[str, "What is done with it, in words."]
    state: Annotated[str | None, "How far a part goes; null for what is none."]
    joints: Sequence[str]
    operations: Sequence[str]
    seconds: Fraction
    links: Annotated[int, "Links from the target."]
    under: Annotated[str | None, "What it is in the way of."]
    calls: Sequence[CallData]


class SurpriseData(Record):
    """A part in the way that few would look for there."""

    part: str
    points: int
    because: Sequence[str]


class EitherWayData(Record):
    """A choice between two ways, and what the other costs."""

    waits: Sequence[str]
    place: PlaceData
    taken: Sequence[str]
    other: Sequence[str]
    price: Annotated[PriceData | None, "null where it was not worked out."]
    more_seconds: Fraction | None


class SavedData(Record):
    """What it would save if a part could stay."""

    part: str
    price: Annotated[PriceData | None, "null where it was not worked out."]
    saves_seconds: Fraction | None
    need_not_move_either: Sequence[str]


class LinkData(Record):
    """One link of a chain of reasons."""

    waits: str | None
    waits_for: str
    because: str


class WhyData(Record):
    """The reasons for one part."""

    part: str
    shortest: Annotated[Sequence[LinkData], "The shortest chain from a target."]
    binding: Annotated[Sequence[str], "The reasons without which it could stay."]


class BlockersData(Record):
    """Everything that is in the way of the targets."""

    about: Annotated[AboutData, FLAT]
    kind: Literal["blockers"]
    totals: TotalsData
    bound_seconds: Fraction
    proven: bool
    things: Sequence[ThingData]
    by_surprise: Sequence[SurpriseData]
    either_way: Sequence[EitherWayData]
    need_not_move: Sequence[SavedData]
    interrupted: Annotated[bool, "Some prices are missing: the work was cut short."]
    why: Annotated[WhyData | None, "Where it was asked for."] = None


def blockers_json(found: InTheWay, why: str | None = None) -> dict[str, Any]:
    """Everything that the text says, and all of it; with ``why`` also the reasons for one part."""
    return BlockersData.of(
        found,
        about=about(found),
        kind="blockers",
        totals=TotalsData.of(
            found.totals,
            range_seconds=(found.hours.low, found.hours.high),
            likely_seconds=found.hours.likely,
        ),
        things=[_thing(found, thing) for thing in found.tree.things.values()],
        by_surprise=[
            SurpriseData.of(seen, part=name, because=surprise_words(found.machine, seen))
            for name, seen in found.surprise.items()
        ],
        either_way=[
            EitherWayData.of(
                other,
                waits=other.fork.later,
                place=other.fork.reason.place,
                taken=other.taken.operations,
                other=other.way.operations,
                more_seconds=None if (saved := _saving(found, other.price)) is None else -saved,
            )
            for other in found.others
        ],
        need_not_move=[_saved(found, saved) for saved in found.saved],
        why=None if why is None else _why(found, why),
    ).plain()


def _why(found: InTheWay, part: str) -> WhyData:
    shortest, bound = reasons(found, part) if part in found.tree.things else ((), ())
    links = [
        LinkData(waits=link.later, waits_for=link.earlier, because=str(link.reason)) for link in shortest
    ]
    return WhyData(part=part, shortest=links, binding=[str(link.reason) for link in bound])


def _thing(found: InTheWay, thing: Obstacle) -> ThingData:
    return ThingData.of(
        thing,
        says=thing_words(found.machine, thing),
        state=thing.state.word if thing.is_part else None,
        operations=[operation.name for operation in thing.operations],
        seconds=found.seconds.get(thing.name, Fraction(0)),
        links=thing.depth,
        under=thing.parent,
        calls=[_call(call) for call in thing.calls],
    )


def _call(call: Call) -> CallData:
    return CallData.of(call.reason, waits=call.later, waits_for=call.earlier, relation=call.reason.kind)


def _saved(found: InTheWay, saved: Saved) -> SavedData:
    also = [] if saved.price is None else [thing.name for thing in also_stay(found, saved.price)]
    either = [name for name in also if name != saved.part]
    return SavedData.of(saved, saves_seconds=_saving(found, saved.price), need_not_move_either=either)


def _saving(found: InTheWay, price: Price | None) -> Fraction | None:
    return None if price is None else found.saving(price)
