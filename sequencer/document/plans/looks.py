"""Looks before the work, and what to check before a part is pulled."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from sequencer.document.blocks import (
    Block,
    Heading,
    Item,
    Items,
    Para,
    Span,
    StationBlock,
    Tone,
    Words,
)
from sequencer.document.clean import clean
from sequencer.document.plans.compared import compared_words
from sequencer.document.plans.critic import at_the_head
from sequencer.document.plans.plan import NOTHING, aims_of, done, head, lead_in
from sequencer.document.steps.cards import StationCard, StepCard, teardown_cards
from sequencer.document.words import duration, plural
from sequencer.graph.said import part_words
from sequencer.machine.called import name_of
from sequencer.machine.model import HAND, Machine
from sequencer.plan.looks.looks import BORESCOPE, EYE, FEEL, MIRROR, Check, Look, LookFirst, Record
from sequencer.plan.looks.looks_kinds import caution, look_name, ways_to_look
from sequencer.plan.looks.looks_lift import CheckReason
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment

MOST_NAMED = 3
"""Parts that are named in one line; the rest is counted."""

WITH = {EYE: "by eye", FEEL: "by feel", MIRROR: "mirror and torch", BORESCOPE: "borescope"}
"""What to look by, in words."""


def looks_document(found: LookFirst, kit: Equipment | None = None) -> Iterator[Block]:
    """A plan with the looks worth making, what to check before each lift, and what stays unseen."""
    plan = found.plan
    yield from head(plan, f"{aims_of(plan)}: the way in")
    if not plan.steps:
        yield Para(NOTHING)
        return
    yield Para(compared_words(plan))
    yield lead_in(plan, kit)
    yield from at_the_head(plan)
    yield from _summary(found)
    numbers = {look.part: number for number, look in enumerate(found.looks, start=1)}
    rounds = {one.after: one for one in found.rounds}
    for card in _cut(cards_with_checks(found, teardown_cards(plan)), rounds):
        here = rounds.get(card.steps[0].number - 1)
        if here is not None:
            yield from _looks(found, here.looks, numbers)
        yield StationBlock(card)
    yield done(plan)
    yield from _rest(found)


def cards_with_checks(found: LookFirst, cards: Iterable[StationCard]) -> list[StationCard]:
    """Cards of a way in, with what to check before each lift as the first line that belongs to its step."""
    said = {number: lift_words(found.plan.machine, checks) for number, checks in found.lifts.items()}
    return [
        replace(
            station,
            steps=tuple(
                replace(step, lines=(clean(said[step.number]), *step.lines)) if step.number in said else step
                for step in station.steps
            ),
        )
        for station in cards
    ]


def _cut(stations: Iterable[StationCard], after: Collection[int]) -> Iterator[StationCard]:
    """The stations, cut in two where looks come in between two steps of one."""
    for station in stations:
        piece: list[StepCard] = []
        for step in station.steps:
            if piece and step.number - 1 in after:
                yield replace(station, steps=tuple(piece))
                piece = []
            piece.append(step)
        yield replace(station, steps=tuple(piece))


def lift_words(machine: Machine, checks: Sequence[Check]) -> str:
    """What to check before a lift, in one line: ``before you pull: hidden bolts, clips and ties``."""
    return f"before you pull: {_checks_line(machine, checks)}"


def _checks_line(machine: Machine, checks: Sequence[Check]) -> str:
    things = [check.what for check in checks if check.why is not CheckReason.NEIGHBOUR]
    near = [
        part_words(machine, name)
        for check in checks
        if check.why is CheckReason.NEIGHBOUR
        for name in check.facts
    ]
    tied = f"anything that ties it to {listing(near, MOST_NAMED)}" if near else ""
    return "; ".join(piece for piece in (listing(things), tied) if piece)


def check_words(machine: Machine, check: Check) -> str:
    """One thing to check, and why it is asked."""
    facts = listing(check.facts)
    because = {
        CheckReason.NAMED: f"it is called {facts}, and the file has none",
        CheckReason.HEAVY: f"{facts}, and the file has none",
        CheckReason.WET: f"it holds {_fluids(machine, check)}, and the file has none",
        CheckReason.FACE: "it sits on a gasket or sealant, and the file has none",
        CheckReason.UNSEEN: "nobody has looked at it, and it is out of sight",
        CheckReason.FAR_SIDE: f"nobody has seen it from {facts}",
        CheckReason.NOTHING_HOLDS: "the file has no joint for it",
        CheckReason.NEIGHBOUR: f"{_parts(machine, check)} against it, and the file says nothing of the two",
    }[check.why]
    return f"{check.what}: {because}"


def _parts(machine: Machine, check: Check) -> str:
    names = check.facts if check.why is CheckReason.NEIGHBOUR else ()
    return f"{listing(part_words(machine, name) for name in names)} {'stand' if len(names) > 1 else 'stands'}"


def _fluids(machine: Machine, check: Check) -> str:
    names = check.facts if check.why is CheckReason.WET else ()
    return listing(name_of(name, machine.fluids[name].label) for name in names).lower()


def chance_words(share: Fraction) -> str:
    """A chance in words: ``1 in 8``."""
    return f"1 in {round(1 / share)}" if share else "none so far"


def _summary(found: LookFirst) -> Iterator[Block]:
    looks = found.looks
    if not found.unseen:
        yield Para("Look first: every part of this plan has been looked at.", Tone.STRONG, apart=True)
        return
    lines: list[Item] = []
    if looks:
        yield Para(
            f"Look first: {plural(len(looks), 'look')}, {duration(found.seconds)} on top of the plan; "
            f"on average {'it saves' if len(looks) == 1 else 'they save'} {duration(found.saves)}.",
            Tone.STRONG,
            apart=True,
        )
        tools = dict.fromkeys(WITH[look.tool] for look in looks if look.tool != HAND)
        if tools:
            lines.append(Item(f"have ready: {listing(tools)}"))
        yield Para(caution(), Tone.ALERT)
    else:
        yield Para("Look first: by the chances, no look is worth its time.", Tone.STRONG, apart=True)
    sources = dict.fromkeys(look.chance.source for look in found.unseen)
    lines.append(Item(f"chances by kind of part: {listing(sources)}"))
    many = plural(len(found.unseen), "part")
    lines.append(
        Item(f"the file does not say that anyone has looked all round {many}; the rest is at the end")
    )
    yield Items(tuple(lines))


def _looks(found: LookFirst, looks: Sequence[Look], numbers: Mapping[str, int]) -> Iterator[Block]:
    machine = found.plan.machine
    for (setup, by), group in groupby(looks, key=lambda look: (look.setup, look.sight.by)):
        here = list(group)
        count = Span(f"   {plural(len(here), 'look')}", Tone.FAINT)
        yield Heading((f"Look · {_where(machine, setup.position, by)}", count))
        yield Items(tuple(_look(machine, look, numbers[look.part]) for look in here), marks=2)


def _where(machine: Machine, position: str, by: str) -> str:
    return clean(f"{machine.positions[position].label} · {WITH[by]}")


def _look(machine: Machine, look: Look, number: int) -> Item:
    words: Words = (f"Look at {part_words(machine, look.part)}", Span(f"  ({_place(look)})", Tone.FAINT))
    below = (
        f"for {_checks_line(machine, look.checks)}",
        (Span(unseen_words(machine, look), Tone.FAINT),),
        (Span(worth_words(look), Tone.FAINT),),
    )
    return Item(words, f"L{number}", below=below)


def _place(look: Look) -> str:
    return f"{Path(look.place.file).name}:{look.place.line}"


def unseen_words(machine: Machine, look: Look) -> str:
    """What of a part nobody has seen."""
    if look.sides:
        return f"not seen from {listing(look.sides)}"
    behind = listing((part_words(machine, name) for name in look.behind), MOST_NAMED)
    return f"never looked at; behind {behind}" if behind else "never looked at"


def worth_words(look: Look) -> str:
    """What a look is worth: the chance, how often it shows, and what it saves."""
    own = f"; {plural(look.chance.looked, 'part')} of your own" if look.chance.looked else ""
    right = "" if look.least_share is None else f"; still right if it is {chance_words(look.least_share)}"
    assumed = "" if own else "assumed: "
    sight = look.sight
    shown = f"measured: {sight.showed} of {sight.there} of your own" if sight.there else "assumed"
    return (
        f"{assumed}{chance_words(look.chance.share)} ({look.chance.label}{own}), and a look shows "
        f"it {round(float(look.sees * 10), 1):g} times in 10 ({shown}); "
        f"{duration(look.late - look.early)} if found at step {look.shows}: "
        f"saves {duration(look.saves)}{right}"
    )


def _rest(found: LookFirst) -> Iterator[Block]:
    """What the plan rests on, unseen, and not worth a look."""
    looked = {look.part for look in found.looks}
    rest = [look for look in found.unseen if look.part not in looked]
    if not rest:
        return
    machine = found.plan.machine
    yield Heading("Resting on the file alone, and not worth a look of its own")
    items = []
    for look in sorted(rest, key=lambda look: look.place):
        why = Span(f"  ({_place(look)}) {unseen_words(machine, look)}", Tone.FAINT)
        items.append(Item((part_words(machine, look.part), why)))
    yield Items(tuple(items))


def own_record_words(record: Record, jobs: int) -> str:
    """What a person's own record counts: parts that something unseen held, and looks that showed it."""
    looks = {look_name(by) for by in ways_to_look()}
    (moved, held), (there, hidden) = (
        [sum(count[at] for name, count in record.items() if (name in looks) is kept) for at in (0, 1)]
        for kept in (False, True)
    )
    seen = f"; of {plural(there, 'look')} at what was there {there - hidden} showed it" if there else ""
    parts = f"of {plural(moved, 'part')} in {plural(jobs, 'job')} something unseen held {held}"
    return f"chances by your own record too: {parts}{seen}"
