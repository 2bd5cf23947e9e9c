"""Looks before the work, and what to check before a part is pulled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.document.plans.looks import check_words, unseen_words
from sequencer.graph.said import part_words
from sequencer.machine.model import Machine
from sequencer.plan.closing.toolbox import Equipment
from sequencer.plan.looks.looks import Check, Look, LookFirst
from sequencer.plan.looks.looks_lift import CheckReason
from sequencer.render.data.about import PlaceData
from sequencer.render.data.plain import FLAT, Record
from sequencer.render.data.plans.plan import TeardownData, teardown_data


class CheckData(Record):
    """One thing to check before a part is pulled."""

    what: str
    why: CheckReason
    facts: Annotated[Sequence[str], "What it rests on: fluids, sides, parts, the weight."]
    says: str


class LookData(Record):
    """A part at which nobody has looked, and what a look at it would be worth."""

    part: str
    says: str
    unseen: Annotated[str, "What nobody has seen of it, in words."]
    sides: Sequence[str]
    behind: Sequence[str]
    position: str
    tool: Annotated[str, "What is in the hand."]
    by: Annotated[str, "What to look by: eye, mirror, borescope, hand (by feel)."]
    after_step: Annotated[int, "The look is possible from there on."]
    shows_at_step: Annotated[int, "Without a look it shows there."]
    kind: Annotated[str, "The kind of part."]
    chance: Annotated[Fraction, "Of being held by something unseen."]
    chance_from: str
    own_parts: Annotated[int, "Parts of the person's own that the chance rests on."]
    late_seconds: Annotated[Fraction, "What it costs where it shows late."]
    early_seconds: Annotated[Fraction, "What it costs where a look has shown it."]
    seconds: Annotated[Fraction, "What the look takes."]
    saves_seconds: Fraction
    sees: Annotated[Fraction, "How often such a look shows what is there."]
    sees_of_own: Annotated[Sequence[int], "The person's own: at what was there, and those that showed it."]
    right_down_to: Annotated[Fraction | None, "The chance down to which it is still right, even alone."]
    look_for: Sequence[CheckData]
    place: PlaceData


class LooksTotalsData(Record):
    """All looks that are worth it."""

    seconds: Fraction
    saves_seconds: Fraction


class LiftData(Record):
    """What to check before the part of a step is pulled."""

    step: int
    checks: Sequence[CheckData]


class LooksData(Record):
    """A way in with the looks worth taking; its own steps and totals stay as they are."""

    plan: Annotated[TeardownData, FLAT]
    looks: Sequence[LookData]
    looks_totals: LooksTotalsData
    unseen: Annotated[Sequence[LookData], "Parts at which a look isn't worth its time."]
    before_you_pull: Sequence[LiftData]


def looks_json(found: LookFirst, kit: Equipment | None = None) -> dict[str, Any]:
    """The plan as ``teardown_json`` has it, and its looks."""
    machine = found.plan.machine
    looked = {look.part for look in found.looks}
    return LooksData(
        plan=teardown_data(found.plan, kit),
        looks=[_look(machine, look) for look in found.looks],
        looks_totals=LooksTotalsData(seconds=found.seconds, saves_seconds=found.saves),
        unseen=[_look(machine, look) for look in found.unseen if look.part not in looked],
        before_you_pull=[
            LiftData(step=number, checks=_checks(machine, checks)) for number, checks in found.lifts.items()
        ],
    ).plain()


def _look(machine: Machine, look: Look) -> LookData:
    return LookData.of(
        look,
        says=f"Look at {part_words(machine, look.part)}",
        unseen=unseen_words(machine, look),
        after_step=look.after,
        shows_at_step=look.shows,
        by=look.sight.by,
        sees_of_own=(look.sight.there, look.sight.showed),
        kind=look.chance.kind,
        chance=look.chance.share,
        chance_from=look.chance.source,
        own_parts=look.chance.looked,
        late_seconds=look.late,
        early_seconds=look.early,
        saves_seconds=look.saves,
        right_down_to=look.least_share,
        look_for=_checks(machine, look.checks),
    )


def _checks(machine: Machine, checks: Iterable[Check]) -> list[CheckData]:
    return [CheckData.of(check, says=check_words(machine, check)) for check in checks]
