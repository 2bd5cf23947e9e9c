"""A plan for several people: how long, when they meet, who does what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING

from sequencer.document.blocks import Block, Fields, Heading, Item, Items, Para, StationBlock, Title, Verbatim
from sequencer.document.clean import clean
from sequencer.document.hours import hours_words
from sequencer.document.plans.crew_bars import Doing, bars, clock, initial
from sequencer.document.plans.crew_chart import WIDE, chart
from sequencer.document.plans.critic import at_the_head
from sequencer.document.plans.plan import NOTHING, aims_of, done, lead_in
from sequencer.document.steps.cards import StationCard, StepCard, teardown_cards
from sequencer.document.words import duration, plural, tool_words
from sequencer.graph.said import sentence
from sequencer.machine.called import name_of
from sequencer.plan.crew.crew import Scarce, Schedule, Visit
from sequencer.plan.crew.crew_waits import CrewWait, handings, together, waits
from sequencer.plan.hazards.cautions import cautions
from sequencer.wording import capital, listing

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment

CALL_OUT = (
    "Say so aloud before anything is let go, lifted, lowered or turned over, and wait for the answer: "
    "the other's hands may be in it. Nobody stays in, on or under a machine that is being raised or "
    "lowered, whatever the bars below say (common practice)."
)

HOLD = (
    "Whoever undoes the last joint of a part that would fall stays with it until it is off, and the other "
    "lends a hand, whatever the bars below say (common practice)."
)


def schedule_document(schedule: Schedule, kit: Equipment | None = None, width: int = WIDE) -> Iterator[Block]:
    """The whole schedule: headline, lead-in, chart of ``width`` columns, meetings, each person's stations."""
    plan = schedule.plan
    yield Title(plan.machine.name)
    yield Title(f"{aims_of(plan)}: the way in, for {schedule.people} people")
    if not plan.steps:
        yield Para(NOTHING)
        return
    yield Para(_compared(schedule))
    yield Para(worth(schedule))
    if schedule.cut_short:
        yield Para("The search was cut short: another run may share the steps out differently.")
    hang = HOLD if plan.practice else ""
    rows = [*lead_in(plan, kit).rows, ("Single", _singles(schedule)), ("Call", CALL_OUT), ("Hold", hang)]
    yield Fields(tuple((name, words) for name, words in rows if words), apart=True)
    yield from at_the_head(plan)
    yield Verbatim(("",))
    yield from chart(schedule, width)
    yield from _meetings(schedule)
    for person in range(schedule.people):
        yield from _person(schedule, person)
    yield done(plan)


def worth(schedule: Schedule) -> str:
    """How good the schedule is proven to be, in a sentence."""
    if schedule.proven:
        return (
            f"Proven: {schedule.people} people can't do these steps in less time, "
            "with what there is of tools and room."
        )
    left = duration(max(float(schedule.seconds - schedule.bound_seconds), 1.0))
    return (
        f"Best found, not proven: for these steps at least {duration(schedule.bound_seconds)} are needed, "
        f"so at most {left} ({float(schedule.gap):.1%}) could still be saved."
    )


def _compared(schedule: Schedule) -> str:
    alone = schedule.plan.totals.seconds
    saved = alone - schedule.seconds
    able = not together(schedule)
    idle = listing(_idle(schedule, person) for person in range(schedule.people))
    return (
        f"{capital(hours_words(schedule.hours))}. By the file's times {duration(schedule.seconds)}; "
        f"one person {'takes' if able else 'would take'} {duration(alone)}, "
        f"{duration(abs(saved))} {'more' if saved >= 0 else 'less'}{'' if able else ', lifts and all'}. "
        f"{plural(len(schedule.turns), 'step')}; idle: {idle}."
    )


def _idle(schedule: Schedule, person: int) -> str:
    waiting = sum(float(b.end - b.start) for b in bars(schedule, person) if b.doing is Doing.WAIT)
    idle = waiting + float(schedule.seconds) - max((float(b.end) for b in bars(schedule, person)), default=0)
    return f"{initial(person)} {duration(idle)}"


def _singles(schedule: Schedule) -> str:
    """What passes from hand to hand because there are too few of it."""
    passing = dict.fromkeys(w.thing for w in waits(schedule) if w.thing and w.thing.kind != "position")
    words = []
    for thing in passing:
        count = schedule.things[thing]
        words.append(f"{count if count > 1 else 'one'} {thing_words(schedule, thing)}")
    if not words:
        return ""
    more = any(thing.kind == "drive" for thing in passing)
    hint = f"; with more handles: --handles {schedule.handles + 1}" if more else ""
    return f"{listing(words)} for everybody, as far as the file says{hint}"


def thing_words(schedule: Schedule, thing: Scarce) -> str:
    """A tool by its label, a drive by its name with the word for what is swapped on it."""
    if thing.kind == "tool":
        return tool_words(schedule.plan.machine, thing.name)
    if thing.kind == "position":
        return schedule.plan.machine.positions[thing.name].label
    return f"{name_of(thing.name, None)} handle"


def _meetings(schedule: Schedule) -> Iterator[Block]:
    """Lifts and hand-overs by time."""
    lines: list[tuple[int, str]] = []
    for turn in together(schedule):
        who = " and ".join(initial(person) for person in turn.people)
        words = sentence(schedule.plan.machine, turn.step.operation)
        lines.append((turn.number, f"{who} together: {words} (step {turn.number})"))
    for wait in handings(schedule):
        if wait.thing is not None:
            giver = f"{initial(wait.of)} (step {wait.after})"
            taker = f"{initial(wait.person)} (step {wait.turn})"
            lines.append((wait.turn, f"{thing_words(schedule, wait.thing)} from {giver} to {taker}"))
    if not lines:
        yield Para("Nothing is lifted together and no tool changes hands.", apart=True)
        return
    yield Heading("When you meet")
    starts = {turn.number: turn.start for turn in schedule.turns}
    yield Items(tuple(Item(line, clock(starts[number])) for number, line in sorted(lines)), marks=5)


def _person(schedule: Schedule, person: int) -> Iterator[Block]:
    """One person's stations in time order, to be read without the others'."""
    visits = schedule.visits[person]
    yield Heading(f"── {initial(person)} ──")
    if not visits:
        yield Para("Nothing to do: the others have all the work.")
        return
    cards = _cards(schedule, person)
    waiting, telling = _said(schedule, person)
    machine = schedule.plan.machine
    for visits_here in _stations(visits):
        first = visits_here[0]
        where = machine.positions[first.turn.step.operation.position].label
        steps = tuple(
            replace(
                cards[visit.turn.number],
                purpose="",
                waits=tuple(map(clean, waiting.get(visit.turn.number, ()))),
                tells=tuple(map(clean, dict.fromkeys(telling.get(visit.turn.number, ())))),
            )
            for visit in visits_here
        )
        yield StationBlock(
            StationCard(
                first.turn.number,
                clean(where),
                clean(tool_words(machine, first.tool)),
                "",
                Fraction(0),
                steps,
                clock=clock(first.turn.start),
            )
        )


def _stations(visits: Sequence[Visit]) -> list[list[Visit]]:
    """A person's visits in runs at one place with one tool."""
    return [
        list(run)
        for _, run in groupby(visits, key=lambda visit: (visit.turn.step.operation.position, visit.tool))
    ]


def _said(schedule: Schedule, person: int) -> tuple[dict[int, list[str]], dict[int, list[str]]]:
    """What a person waits for before a step, and what they tell or hand on after it, by turn."""
    waiting: dict[int, list[str]] = {}
    telling: dict[int, list[str]] = {}
    handed = handings(schedule)
    for wait in waits(schedule):
        if wait.person == person:
            waiting.setdefault(wait.turn, []).append(_wait_words(schedule, wait))
        elif wait.of == person and (wait.thing is None or wait.thing.kind == "position"):
            telling.setdefault(wait.after, []).append(f"tell {initial(wait.person)} (step {wait.turn})")
        elif wait.of == person and wait.thing is not None and wait in handed:
            words = f"{thing_words(schedule, wait.thing)} to {initial(wait.person)} (step {wait.turn})"
            telling.setdefault(wait.after, []).append(words)
    return waiting, telling


def _cards(schedule: Schedule, person: int) -> dict[int, StepCard]:
    """The steps in words, by turn; cautions stand where this person meets them first."""
    plan = schedule.plan
    known = {step.number: step for station in teardown_cards(plan) for step in station.steps}
    warned = cautions(plan, [visit.turn.step for visit in schedule.visits[person]])
    cards = {}
    for visit in schedule.visits[person]:
        turn = visit.turn
        others = [initial(other) for other in turn.people if other != person]
        card = known[turn.step.number]
        cards[turn.number] = replace(
            card,
            number=turn.number,
            words=f"{card.words}, together with {listing(others)}" if others else card.words,
            cautions=tuple(clean(caution.text) for caution in warned.get(turn.step.number, ())),
        )
    return cards


def _wait_words(schedule: Schedule, wait: CrewWait) -> str:
    whose = f"{initial(wait.of)} has done step {wait.after}"
    if wait.thing is None:
        return f"not before {whose}"
    words = thing_words(schedule, wait.thing)
    if wait.thing.kind == "position":
        return f"not before {initial(wait.of)} has left here, after step {wait.after}"
    return f"{words}: from {initial(wait.of)}, after step {wait.after}"
