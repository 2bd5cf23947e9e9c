"""What is said of a plan: a lead-in, then stations, each read once before the phone is put away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from sequencer.document.blocks import Block, Fields, Heading, Para, StationBlock, Title, Tone
from sequencer.document.evenings.sittings import evenings_document, sitting_time_short, step_range
from sequencer.document.hours import doubt_words, hours_words, known_words
from sequencer.document.plans.compared import compared_words
from sequencer.document.plans.critic import at_the_head
from sequencer.document.plans.either import either_lines
from sequencer.document.steps.cards import USUAL, cure_words, refit_cards, teardown_cards
from sequencer.document.steps.more_hands import hands_words
from sequencer.document.steps.not_known import order_words, type_words
from sequencer.document.steps.notes import usual
from sequencer.document.steps.outfit import outfit, wrench_range
from sequencer.document.steps.practice import added_words
from sequencer.document.steps.toolbox import toolbox_rows
from sequencer.document.words import duration, laid_out, plural, target_words, tool_words
from sequencer.graph.fastening import TORQUE_DRIVE
from sequencer.graph.operations import Kind
from sequencer.graph.said import fluid_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.hazards.cautions import notice
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.wording import capital, listing

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.evenings.sittings import Evenings

NOTHING = "Nothing has to move: the target is clear as it stands."
"""What there is to say of a plan without steps."""


def teardown_document(
    plan: Teardown,
    kit: Equipment | None = None,
    divided: Evenings[Teardown] | None = None,
    *,
    why: bool = False,
) -> Iterator[Block]:
    """The whole plan: headline, lead-in, stations, end.

    With ``kit`` also what the toolbox lacks, with ``divided`` also its sittings, with ``why`` also what each
    part is moved for.
    """
    yield from head(plan, f"{aims_of(plan)}: the way in", divided)
    if not plan.steps:
        yield Para(NOTHING)
        return
    if words := compared_words(plan):
        yield Para(words)
    rows = [*lead_in(plan, kit).rows, *(("Either", words) for words in either_lines(plan))]
    yield Fields(tuple(rows), apart=True)
    yield from at_the_head(plan)
    for card in teardown_cards(plan):
        yield from _sitting_head(divided, card.steps[0].number)
        yield StationBlock(card, why)
    yield done(plan)


def done(plan: Plan) -> Para:
    """The end of a way in."""
    return Para(f"Done: {aims_of(plan)}.", Tone.STRONG, apart=True)


def refit_document(
    plan: Refit,
    unit: str | None = None,
    kit: Equipment | None = None,
    divided: Evenings[Refit] | None = None,
) -> Iterator[Block]:
    """The whole way back; torques also in ``unit``, and with the wrenches of ``kit``, where given."""
    yield from head(plan, f"{aims_of(plan)}: the way back", divided)
    if not plan.steps:
        yield Para("Nothing came off, so nothing goes back.")
        return
    yield Para(f"{plural(len(plan.gates), 'torque gate')} on the way.")
    rows = list(lead_in(plan, kit, unit).rows)
    rows += [("Cure", words) for words in cure_words(plan)]
    for fluid, reason in plan.unreachable_fills:
        name = name_of(fluid, plan.machine.fluids[fluid].label)
        rows.append(("Filler", f"{name}: where it is filled can't be reached in this order: {reason}"))
    yield Fields(tuple(rows), apart=True)
    yield from at_the_head(plan)
    for card in refit_cards(plan, unit, kit):
        yield from _sitting_head(divided, card.steps[0].number)
        yield StationBlock(card)
    yield Para("Done: all that came off is back.", Tone.STRONG, apart=True)


def aims_of(plan: Plan) -> str:
    """What the job is for, in words."""
    return listing(target_words(plan.machine, target) for target in plan.targets)


def _sitting_head(divided: Evenings[Any] | None, step: int) -> Iterator[Block]:
    """Above the station with which a sitting begins."""
    for sitting in divided.sittings if divided else ():
        if sitting.first == step:
            yield Heading(f"Sitting {sitting.number}: {step_range(sitting)}, {sitting_time_short(sitting)}")


def head(plan: Plan, title: str, divided: Evenings[Any] | None = None) -> Iterator[Block]:
    """The machine, the target, and what the whole of it comes to."""
    yield Title(plan.machine.name)
    yield Title(title)
    if not plan.steps:
        return
    totals = plan.totals
    yield Para(
        f"{capital(hours_words(plan.hours))}. By {times_words(plan.machine)} {duration(totals.seconds)}"
        f"{added_words(plan)}; {plural(totals.tool_changes, 'tool change')}, "
        f"{plural(totals.reach_arounds, 'reach-around')}; {plural(len(plan.steps), 'step')} "
        f"in {plural(len(plan.stations), 'station')}."
    )
    if plan.machine.learned:
        yield Para(f"{capital(known_words(plan.machine.learned))}.")
    if words := doubt_words(plan):
        yield Para(words)
    if words := hands_words(plan):
        yield Para(words)
    if divided is None:
        yield Para(worth(plan))
        return
    yield from evenings_document(divided)


def times_words(machine: Machine) -> str:
    """Whose times add up to the exact sum of a plan."""
    return "your own times" if machine.learned and machine.learned.scaled else "the file's times"


def worth(plan: Plan) -> str:
    """How good the order is proven to be, and how much of it is known, in a sentence each."""
    return " ".join(filter(None, (_proof(plan), order_words(plan), type_words(plan))))


def _proof(plan: Plan) -> str:
    least = {
        Prefer.TIME: ("the shortest order", ""),
        Prefer.TOOL_CHANGES: ("the fewest tool changes", ", in the least time"),
        Prefer.REACH_AROUNDS: ("the fewest reach-arounds", ", in the least time"),
    }
    if plan.proven:
        what, then = least[plan.prefer]
        rules = "of these steps that the file and good practice allow"
        return f"Proven: {what} {rules if plan.practice else 'that the file allows'}{then}."
    counted = {Prefer.TOOL_CHANGES: "tool change", Prefer.REACH_AROUNDS: "reach-around"}.get(plan.prefer)
    if counted and plan.bound_count < plan.totals.count(plan.prefer):
        return f"Best found, not proven: at least {plural(plan.bound_count, counted)} are needed."
    left = duration(max(float(plan.totals.seconds - plan.bound_seconds), 1.0))
    return (
        f"Best found, not proven: at least {duration(plan.bound_seconds)} are needed, "
        f"so at most {left} ({float(plan.gap):.1%}) could still be saved."
    )


def lead_in(plan: Plan, kit: Equipment | None = None, unit: str | None = None) -> Fields:
    """What to have ready before the first step, what is missing of it, and what to know of the figures.

    With ``kit`` the steps say which wrench serves; without it the torques of all are said, in ``unit``.
    """
    machine = plan.machine
    tools = laid_out(machine, (operation.tool for operation in plan.operations))
    if kit is None and (torques := wrench_range(plan, unit)):
        wrench = tool_words(machine, TORQUE_DRIVE)
        tools = [f"{tool} for {torques}" if tool == wrench else tool for tool in tools]
    rows = {"Lay out": listing(tools) or "no tools"}
    if beside := outfit([plan]):
        rows["Also"] = listing(beside)
    if kit is not None:
        rows |= toolbox_rows(plan, kit)
    if fluids := dict.fromkeys(op.subject for op in plan.operations if op.kind is Kind.FILL):
        rows["Fill"] = "; ".join(fluid_words(machine, name) for name in fluids)
    if new := _renewal_words(plan):
        rows["Renew"] = new
    if count := usual(plan, plan.steps):
        rows["Times"] = (
            f"{USUAL} standard time, none in the file ({count} of {plural(len(plan.steps), 'step')})"
        )
    rows["Mind"] = notice()
    return Fields(tuple(rows.items()), apart=True)


def _renewal_words(plan: Plan) -> str:
    counts: Counter[str] = Counter()  # two sides of a machine are two parts, and one line of a shopping list
    total = 0.0
    for _, renewal in renewals(plan):
        counts[renewal.item] += renewal.count
        total += float(renewal.price or 0) * renewal.count
    items = [f"{count} × {item}" if count > 1 else item for item, count in counts.items()]
    priced = f" ({total:.2f} at the prices in the file)" if total else ""
    return listing(items) + priced if items else ""
