"""Looks before the work, and what to check before a part is pulled, on the terminal and as JSON."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.text import Text

from sequencer.machine.model import HAND, Machine
from sequencer.plan.looks import BORESCOPE, MIRROR, Check, Look, LookFirst
from sequencer.plan.looks_kinds import caution
from sequencer.plan.looks_lift import Why
from sequencer.plan.setups import Setup
from sequencer.views.cards import StationCard, StepCard, teardown_cards
from sequencer.views.lines import clean, hanging
from sequencer.views.text import (
    INDENT,
    MARK,
    aims_of,
    compared,
    lead_in,
    print_head,
    print_station,
)
from sequencer.views.words import duration, listing, name_of, part_words, plural

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment

MOST_NAMED = 3
"""Parts that are named in one line; the rest is counted."""

TOOLS = {HAND: "by eye", MIRROR: "mirror and torch", BORESCOPE: "borescope"}
"""What one looks with, in words."""


def print_look_first(found: LookFirst, console: Console, kit: Equipment | None = None) -> None:
    """Print a plan with the looks worth making, what to check before each lift, and what stays unseen."""
    plan = found.plan
    aims = aims_of(plan)
    print_head(plan, f"{aims}: the way in", console)
    if not plan.steps:
        hanging(console, "Nothing has to move: the target is clear as it stands.")
        return
    compared(plan, console)
    lead_in(plan, console, kit)
    _summary(found, console)
    numbers = {look.part: number for number, look in enumerate(found.looks, start=1)}
    rounds = {one.after: one for one in found.rounds}
    for station in _cut(cards_with_checks(found, teardown_cards(plan)), rounds):
        here = rounds.get(station.steps[0].number - 1)
        if here is not None:
            _print_looks(found, here.looks, numbers, console)
        print_station(station, console)
    console.print()
    hanging(console, f"Done: {aims}.", style="bold")
    _print_rest(found, console)


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
    things = [check.what for check in checks if check.why is not Why.NEIGHBOUR]
    near = [
        part_words(machine, name) for check in checks if check.why is Why.NEIGHBOUR for name in check.facts
    ]
    tied = f"anything that ties it to {listing(near, MOST_NAMED)}" if near else ""
    return "; ".join(piece for piece in (listing(things), tied) if piece)


def check_words(machine: Machine, check: Check) -> str:
    """One thing to check, and why it is asked."""
    facts = listing(check.facts)
    because = {
        Why.NAMED: f"it is called {facts}, and the file has none",
        Why.HEAVY: f"{facts}, and the file has none",
        Why.WET: f"it holds {_fluids(machine, check)}, and the file has none",
        Why.FACE: "it sits on a gasket or sealant, and the file has none",
        Why.UNSEEN: "nobody has looked at it, and it is out of sight",
        Why.FAR_SIDE: f"nobody has seen it from {facts}",
        Why.NOTHING_HOLDS: "the file has no joint for it",
        Why.NEIGHBOUR: f"{_parts(machine, check)} against it, and the file says nothing of the two",
    }[check.why]
    return f"{check.what}: {because}"


def _parts(machine: Machine, check: Check) -> str:
    names = check.facts if check.why is Why.NEIGHBOUR else ()
    return f"{listing(part_words(machine, name) for name in names)} {'stand' if len(names) > 1 else 'stands'}"


def _fluids(machine: Machine, check: Check) -> str:
    names = check.facts if check.why is Why.WET else ()
    return listing(name_of(name, machine.fluids[name].label) for name in names).lower()


def chance_words(share: Fraction) -> str:
    """A chance as one says it: ``1 in 8``."""
    return f"1 in {round(1 / share)}" if share else "none so far"


def _summary(found: LookFirst, console: Console) -> None:
    console.print()
    looks = found.looks
    if not found.unseen:
        hanging(console, "Look first: every part of this plan has been looked at.", style="bold")
        return
    if looks:
        hanging(
            console,
            f"Look first: {plural(len(looks), 'look')}, {duration(found.seconds)} on top of the plan; "
            f"on average {'it saves' if len(looks) == 1 else 'they save'} {duration(found.saves)}.",
            style="bold",
        )
        tools = dict.fromkeys(TOOLS[look.tool] for look in looks if look.tool != HAND)
        if tools:
            hanging(console, f"have ready: {listing(tools)}", lead=INDENT)
        hanging(console, caution(), lead=f"{INDENT}{MARK} ", style="bold yellow")
    else:
        hanging(console, "Look first: by the chances no look is worth its minute.", style="bold")
    sources = dict.fromkeys(look.chance.source for look in found.unseen)
    hanging(console, f"chances by kind of part: {listing(sources)}", lead=INDENT)
    many = plural(len(found.unseen), "part")
    hanging(
        console,
        f"of {many} the file does not say that anyone looked all round; the rest is at the end",
        lead=INDENT,
    )


def _print_looks(
    found: LookFirst, looks: Sequence[Look], numbers: Mapping[str, int], console: Console
) -> None:
    machine = found.plan.machine
    for setup, group in groupby(looks, key=lambda look: look.setup):
        here = list(group)
        head = Text(f"Look · {_where(machine, setup)}", style="bold")
        head.append(f"   {plural(len(here), 'look')}", style="dim")
        console.print()
        hanging(console, head, hang=2)
        for look in here:
            _print_look(machine, look, numbers[look.part], console)


def _where(machine: Machine, setup: Setup) -> str:
    return clean(f"{machine.positions[setup.position].label} · {TOOLS[setup.tool]}")


def _print_look(machine: Machine, look: Look, number: int, console: Console) -> None:
    line = Text(clean(f"Look at {part_words(machine, look.part)}"))
    line.append(f"  ({_place(look)})", style="dim")
    hanging(console, line, lead=f"{f'L{number}':>4}  ")
    hanging(console, f"for {_checks_line(machine, look.checks)}", lead=INDENT, hang=len(INDENT) + 2)
    hanging(console, unseen_words(machine, look), lead=INDENT, hang=len(INDENT) + 2, style="dim")
    hanging(console, worth_words(look), lead=INDENT, hang=len(INDENT) + 2, style="dim")


def _place(look: Look) -> str:
    return f"{Path(look.place.file).name}:{look.place.line}"


def unseen_words(machine: Machine, look: Look) -> str:
    """What of a part nobody has seen."""
    if look.sides:
        return f"not seen from {listing(look.sides)}"
    behind = listing((part_words(machine, name) for name in look.behind), MOST_NAMED)
    return f"never looked at; behind {behind}" if behind else "never looked at"


def worth_words(look: Look) -> str:
    """What a look is worth: the chance, and what it saves."""
    own = f"; {plural(look.chance.looked, 'part')} of your own" if look.chance.looked else ""
    return (
        f"{chance_words(look.chance.share)} ({look.chance.label}{own}); "
        f"{duration(look.late - look.early)} if found at step {look.shows}: saves {duration(look.saves)}"
    )


def _print_rest(found: LookFirst, console: Console) -> None:
    """What the plan rests on, unseen, and not worth a look."""
    looked = {look.part for look in found.looks}
    rest = [look for look in found.unseen if look.part not in looked]
    if not rest:
        return
    machine = found.plan.machine
    console.print()
    hanging(console, "Resting on the file alone, and not worth a look of its own", style="bold")
    for look in sorted(rest, key=lambda look: look.place):
        line = Text(clean(part_words(machine, look.part)))
        line.append(f"  {clean(f'({_place(look)}) {unseen_words(machine, look)}')}", style="dim")
        hanging(console, line, lead="  ", hang=6)


# ---- JSON ----


def looks_json(found: LookFirst) -> dict[str, Any]:
    """What stands beside a plan's own keys; its steps and totals stay as they are."""
    machine = found.plan.machine
    looked = {look.part for look in found.looks}
    return {
        "looks": [look_json(machine, look) for look in found.looks],
        "looks_totals": {"seconds": _number(found.seconds), "saves_seconds": _number(found.saves)},
        "unseen": [look_json(machine, look) for look in found.unseen if look.part not in looked],
        "before_you_pull": [
            {"step": number, "checks": [check_json(machine, check) for check in checks]}
            for number, checks in found.lifts.items()
        ],
    }


def look_json(machine: Machine, look: Look) -> dict[str, Any]:
    """A part at which nobody has looked, and what a look at it would be worth."""
    return {
        "part": look.part,
        "says": f"Look at {part_words(machine, look.part)}",
        "unseen": unseen_words(machine, look),
        "sides": list(look.sides),
        "behind": list(look.behind),
        "position": look.position,
        "tool": look.tool,
        "after_step": look.after,
        "shows_at_step": look.shows,
        "kind": look.chance.kind,
        "chance": float(look.chance.share),
        "chance_from": look.chance.source,
        "own_parts": look.chance.looked,
        "late_seconds": _number(look.late),
        "early_seconds": _number(look.early),
        "seconds": _number(look.seconds),
        "saves_seconds": _number(look.saves),
        "look_for": [check_json(machine, check) for check in look.checks],
        "place": {"file": look.place.file, "line": look.place.line},
    }


def check_json(machine: Machine, check: Check) -> dict[str, Any]:
    """One thing to check before a part is pulled."""
    return {
        "what": check.what,
        "why": check.why.value,
        "facts": list(check.facts),
        "says": check_words(machine, check),
    }


def _number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)
