"""A plan for several people on the terminal: how long, when they meet, who does what."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text

from sequencer.plan.cautions import cautions
from sequencer.plan.crew import Schedule, Thing, Visit
from sequencer.plan.crew_waits import Wait, handings, together, waits
from sequencer.views.cards import StepCard, teardown_cards
from sequencer.views.crew_bars import Doing, bars, clock, initial
from sequencer.views.crew_chart import print_chart
from sequencer.views.lines import clean, hanging
from sequencer.views.text import INDENT, MARK, aims_of, lead_in
from sequencer.views.words import duration, listing, name_of, plural, sentence, tool_words

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment

CALL_OUT = (
    "Say so aloud before anything is let go, lifted, lowered or turned over, and wait for the answer: "
    "the other's hands may be in it. Nobody stays in, on or under a machine that is being raised or "
    "lowered, whatever the bars below say (common practice)."
)


def print_schedule(schedule: Schedule, console: Console, kit: Equipment | None = None) -> None:
    """The whole schedule: headline, lead-in, chart, meetings, and each person's stations."""
    plan = schedule.plan
    aims = aims_of(plan)
    hanging(console, plan.machine.name, style="bold")
    hanging(console, f"{aims}: the way in, for {schedule.people} people", style="bold")
    if not plan.steps:
        hanging(console, "Nothing has to move: the target is clear as it stands.")
        return
    hanging(console, _compared(schedule))
    hanging(console, worth(schedule))
    if schedule.cut_short:
        hanging(console, "The search was cut short: another run may share the steps out otherwise.")
    lead_in(plan, console, kit)
    for lead, words in (("Single", _singles(schedule)), ("Call", CALL_OUT)):
        if words:
            hanging(console, words, lead=f"{lead:<9}")
    console.print()
    print_chart(schedule, console)
    _print_meetings(schedule, console)
    for person in range(schedule.people):
        _print_person(schedule, person, console)
    console.print()
    hanging(console, f"Done: {aims}.", style="bold")


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
        f"{duration(schedule.seconds)}; one person {'takes' if able else 'would take'} {duration(alone)}, "
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


def thing_words(schedule: Schedule, thing: Thing) -> str:
    """A tool by its label, a drive by its name with the word for what is swapped on it."""
    if thing.kind == "tool":
        return tool_words(schedule.plan.machine, thing.name)
    if thing.kind == "position":
        return schedule.plan.machine.positions[thing.name].label
    return f"{name_of(thing.name, None)} handle"


def _print_meetings(schedule: Schedule, console: Console) -> None:
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
    console.print()
    if not lines:
        hanging(console, "Nothing is lifted together and no tool changes hands.")
        return
    hanging(console, "When you meet", style="bold")
    starts = {turn.number: turn.start for turn in schedule.turns}
    for number, line in sorted(lines):
        hanging(console, line, lead=f"  {clock(starts[number]):>5}  ")


def _print_person(schedule: Schedule, person: int, console: Console) -> None:
    """One person's stations in time order, to be read without the others'."""
    visits = schedule.visits[person]
    console.print()
    console.print(f"── {initial(person)} ──", style="bold")
    if not visits:
        hanging(console, "Nothing to do: there is no work beside the others'.")
        return
    cards = _cards(schedule, person)
    before: list[str] = []
    mine: dict[int, list[str]] = {}
    calls: dict[int, list[str]] = {}
    handed = handings(schedule)
    for wait in waits(schedule):
        if wait.person == person:
            mine.setdefault(wait.turn, []).append(_wait_words(schedule, wait))
        elif wait.of == person and (wait.thing is None or wait.thing.kind == "position"):
            calls.setdefault(wait.after, []).append(f"tell {initial(wait.person)} (step {wait.turn})")
        elif wait.of == person and wait.thing is not None and wait in handed:
            words = f"{thing_words(schedule, wait.thing)} to {initial(wait.person)} (step {wait.turn})"
            calls.setdefault(wait.after, []).append(words)
    for visit in visits:
        number = visit.turn.number
        here = [visit.turn.step.operation.position, visit.tool]
        if here != before:
            _print_station(schedule, visit, console)
        before = here
        for words in mine.get(number, ()):
            hanging(console, words, lead=f"{INDENT}< ", style="italic")
        _print_card(cards[number], console)
        if number in calls:
            hanging(
                console, f"then {listing(dict.fromkeys(calls[number]))}", lead=f"{INDENT}> ", style="italic"
            )


def _cards(schedule: Schedule, person: int) -> dict[int, StepCard]:
    """The steps in words, by turn; cautions stand where this person meets them first."""
    plan = schedule.plan
    known = {step.number: step for station in teardown_cards(plan) for step in station.steps}
    warned = cautions(plan.machine, [visit.turn.step for visit in schedule.visits[person]])
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


def _print_card(card: StepCard, console: Console) -> None:
    for caution in card.cautions:
        hanging(console, caution, lead=f"{INDENT}{MARK} ", style="bold yellow")
    line = Text(f"{card.words}  ({card.details})" if card.details else card.words)
    hanging(console, line, lead=f"{card.number:>4}  ")
    for words in card.lines:
        hanging(console, words, lead=INDENT)
    for note in card.notes:
        hanging(console, note, lead=f"{INDENT}note: ", hang=len(INDENT) + 2)


def _print_station(schedule: Schedule, visit: Visit, console: Console) -> None:
    machine = schedule.plan.machine
    where = clean(machine.positions[visit.turn.step.operation.position].label)
    console.print()
    head = Text(f"{where} · {clean(tool_words(machine, visit.tool))}", style="bold")
    hanging(console, head, lead=f"{clock(visit.turn.start):>5}  ", hang=7)


def _wait_words(schedule: Schedule, wait: Wait) -> str:
    whose = f"{initial(wait.of)} has done step {wait.after}"
    if wait.thing is None:
        return f"not before {whose}"
    words = thing_words(schedule, wait.thing)
    if wait.thing.kind == "position":
        return f"not before {initial(wait.of)} has left here, after step {wait.after}"
    return f"{words}: from {initial(wait.of)}, after step {wait.after}"
