"""What a plan rests on without anyone having looked, and which looks are worth their minute.

A look at a part is worth what it saves on average: the chance that something unseen holds the part, times
the chance that the look shows it, times what it costs to find that late less what it costs to know it early.

*Late* is at the part's own move: you stand there with the part half out, search for what still holds it
(``search`` in ``data/looks.toml``), goes to it with the tool that it takes, comes back and takes up the
tool again. *Early* is before the work begins: the same joint is undone on the way, wherever going there
costs least between the look and the part's move. Its own time falls due either way and cancels out. Where
it is and what tool it takes nobody knows; it is taken to be like the joints that the plan undoes, each of
them as likely. So both costs are means over the plan's own set-ups, computed to the second from the walks
and the pace of the file. What would have to be put back to get at it late is not counted, nor what breaks:
the values are low rather than high.

What comes first in any job (the supply locked off, the battery off) comes before all looks. A look from a
place at which nobody can work before some other task is done (the van on its stands) waits until the plan
first goes there. All others follow at once, in the order that walks least; but what is behind something may
be looked at once that is out of the way, by eye, where that gains more. Where an eye sees nothing, a hand may
feel for it: that shows less, and nothing is fetched for it. A look is proposed only where there is something
to look for (``looks_lift``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from sequencer.graph.operations import REACHES, Kind
from sequencer.machine.model import HAND, Machine, Part, Place
from sequencer.plan.looks.looks_kinds import (
    Chance,
    Count,
    Record,
    Sensitivity,
    chance_of,
    is_behind,
    is_hidden,
    is_out_of_sight,
    look_seconds,
    search_seconds,
    sees,
)
from sequencer.plan.looks.looks_lift import Check, before_you_pull, nobody_looked, sides_left
from sequencer.plan.looks.looks_round import Round, best_round
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.plan import Teardown

__all__ = [
    "BORESCOPE", "MIRROR", "Chance", "Check", "Count", "Look", "LookFirst", "Record", "Round",
    "before_you_pull", "look_first",
]  # fmt: skip

MIRROR = "mirror"
"""A mirror and a torch: for far sides, and for what is worked on from below or behind."""

EYE, FEEL = "eye", "hand"
"""What one looks by with nothing in the hand; by feel where an eye sees nothing."""

BORESCOPE = "borescope"
"""A camera on a stalk: for what is behind something that is still in place."""

MOVES = frozenset(REACHES)
"""The operations by which a part leaves its place."""


@dataclass(frozen=True)
class Look:
    """A part of the plan at which nobody has looked, and what a look at it would be worth.

    Attributes:
        part: The part; ``place`` is where the file speaks of it.
        sides: The sides that nobody has seen; empty: nobody has said that they looked at it at all.
        behind: What stands in front of it: parts that have to move before it can be reached.
        position: Where to look from; ``tool``: what is in the hand.
        after: The look comes after this step; 0: before any.
        shows: The step at which something unseen would show.
        late: Mean seconds of finding it there; ``early``: of knowing it from the look on.
        sight: What the look is made with, and how often that shows what is there.
        alone: Seconds that the look takes if no other one is made, the way there and the tool included.
        checks: What to look for: what the file does not say about the part.
    """

    part: str
    place: Place
    sides: tuple[str, ...]
    behind: tuple[str, ...]
    position: str
    tool: str
    after: int
    shows: int
    chance: Chance
    late: Fraction
    early: Fraction
    seconds: Fraction
    sight: Sensitivity
    alone: Fraction
    checks: tuple[Check, ...]

    @property
    def setup(self) -> Setup:
        """Where to stand, and what to hold."""
        return Setup(self.position, self.tool)

    @property
    def sees(self) -> Fraction:
        """How often such a look shows what is there."""
        return self.sight.share

    @property
    def saves(self) -> Fraction:
        """Seconds that it saves on average, its own not taken off."""
        return self.chance.share * self.sees * (self.late - self.early)

    @property
    def least_share(self) -> Fraction | None:
        """The chance down to which the look is still right, even alone; None: no chance is enough."""
        saved = self.sees * (self.late - self.early)
        return self.alone / saved if saved > self.alone else None


@dataclass(frozen=True)
class LookFirst:
    """A plan, and the looks that are worth making before it.

    Attributes:
        unseen: All that the plan rests on and nobody has looked at, what a look would save most first.
        rounds: The looks worth making, those before the first step first.
        lifts: By step number of each lift: what to check before the part is pulled.
    """

    plan: Teardown
    unseen: tuple[Look, ...]
    rounds: tuple[Round[Look], ...]
    lifts: Mapping[int, tuple[Check, ...]]

    @property
    def looks(self) -> tuple[Look, ...]:
        """The looks worth making, in order."""
        return tuple(look for one in self.rounds for look in one.looks)

    @property
    def seconds(self) -> Fraction:
        """What they take, the ways there and the tools included."""
        return sum((one.seconds for one in self.rounds), Fraction(0))

    @property
    def saves(self) -> Fraction:
        """What they save on average."""
        return sum((look.saves for look in self.looks), Fraction(0))


def look_first(plan: Teardown, record: Record | None = None) -> LookFirst:
    """What ``plan`` rests on unseen, the looks worth making, and what to check before each lift.

    Args:
        plan: The way in. It is not changed.
        record: The person's own record, which takes over from the table of chances.
    """
    options = _unseen(plan, record or {})
    choices = [
        [some[0] for some in options],
        [max(some, key=lambda look: look.saves - look.alone) for some in options],
        [next((look for look in some if look.sight.by == FEEL), some[0]) for some in options],
    ]
    rounds, unseen = max(
        ((_rounds(plan, looks), looks) for looks in choices),
        key=lambda made: sum(one.gain for one in made[0]),
    )
    unseen = sorted(unseen, key=lambda look: -look.saves)
    return LookFirst(plan, tuple(unseen), rounds, _lifts(plan))


def _rounds(plan: Teardown, looks: Sequence[Look]) -> tuple[Round[Look], ...]:
    """The looks that are worth making, gap by gap."""
    looks = sorted(looks, key=lambda look: -look.saves)
    changes = looking(plan.machine)
    found = []
    for after in sorted({look.after for look in looks}):
        here = [look for look in looks if look.after == after and look.checks]
        best = best_round(here, *_around(plan, after), changes)
        if best is not None:
            found.append(best)
    return tuple(found)


def looking(machine: Machine) -> Changes:
    """The changes of set-up, the tools to look with included."""
    return Changes.of(machine, {MIRROR: None, BORESCOPE: None})


def _lifts(plan: Teardown) -> dict[int, tuple[Check, ...]]:
    gone: set[str] = set()
    found = {}
    for step in plan.steps:
        part = step.operation.part
        if part is not None and step.operation.kind in (Kind.MOVE_ASIDE, Kind.REMOVE):
            checks = before_you_pull(plan.machine, part, gone)
            if checks:
                found[step.number] = checks
            if step.operation.kind is Kind.REMOVE:
                gone.add(part)
    return found


def _around(plan: Teardown, after: int) -> tuple[Setup, Setup]:
    """The set-ups before and after the gap that follows step ``after``."""
    setups = [Setup(op.position, op.tool) for op in plan.operations]
    start = Changes.of(plan.machine).start(setups[0].position)
    return (setups[after - 1] if after else start), setups[after]


# ---- What nobody has looked at ----


def _unseen(plan: Teardown, record: Record) -> list[tuple[Look, ...]]:
    """For each part that nobody has looked at, the looks that can be made: at first, and once it is open."""
    machine = plan.machine
    detours, changes = _Detours.of(plan), looking(plan.machine)
    opens = _opens(plan)
    found = []
    for name in dict.fromkeys(op.part for op in plan.operations if op.part is not None):
        part = machine.parts[name]
        sides = sides_left(part)
        if not sides and not nobody_looked(part):
            continue
        shows = _shows(plan, name)
        position = plan.operations[shows - 1].position
        hidden = is_hidden(machine, part, position)
        behind = _in_front(part)
        unsure = name in machine.from_type.unsure
        chance = chance_of(part, hidden=hidden, partly=bool(sides), record=record, from_type=unsure)
        late = search_seconds(part) + detours.late(shows)
        options = []
        for after, still in _openings(plan, behind, opens[position], shows):
            far = bool(part.seen) or is_out_of_sight(machine, position)
            by = BORESCOPE if still is not None and is_behind(part) else MIRROR if far else EYE
            before, then = _around(plan, after)
            for way in (by, FEEL) if by != EYE else (by,):
                setup = Setup(position, way if way in (MIRROR, BORESCOPE) else HAND)
                there = changes.seconds(before, setup) + changes.seconds(setup, then)
                seconds = look_seconds()
                options.append(
                    Look(
                        *(name, part.place, sides, still or (), position, setup.tool, after, shows, chance),
                        *(late, detours.early(after, shows), seconds, sees(way, record)),
                        seconds + there - changes.seconds(before, then),
                        before_you_pull(machine, name),
                    )
                )
        found.append(tuple(options))
    return found


def _openings(
    plan: Teardown, behind: tuple[str, ...], first: int, shows: int
) -> Iterator[tuple[int, tuple[str, ...] | None]]:
    """Steps after which a look may come, and what is in front then: at first, and once nothing is (None)."""
    yield first, behind
    moved = {step.operation.part: step.number for step in plan.steps if step.operation.kind in MOVES}
    opened = max((moved.get(part, 0) for part in behind), default=0)
    if first < opened < shows:
        yield opened, None


def _shows(plan: Teardown, part: str) -> int:
    """The number of the step at which something unseen would show: the part's first move, or first joint."""
    own = [step for step in plan.steps if step.operation.part == part]
    moves = [step.number for step in own if step.operation.kind in MOVES]
    return moves[0] if moves else own[0].number


def _in_front(part: Part) -> tuple[str, ...]:
    needs = (need for need in part.all_waits if need.relation.reaches)
    others = (atom.part for need in needs for atom in need.any_of)
    return tuple(dict.fromkeys(other for other in others if other != part.name)) if is_behind(part) else ()


def _opens(plan: Teardown) -> dict[str, int]:
    """The step from which on a look is possible, for each position of the plan.

    That is once what comes first in any job is done; and where everything at a position waits for some other
    task, by what the file says, not before the plan goes there with that done.
    """
    chosen = plan.graph.restricted(op.name for op in plan.operations)
    before: dict[str, set[str]] = {}
    for operation in plan.operations:
        waits = (clause.any_of for clause in chosen.needs[operation.name])
        direct = {name for any_of in waits if len(any_of) == 1 for name in any_of}
        before[operation.name] = direct.union(*(before.get(name, set()) for name in direct))
    return {
        position: _fit_after(plan, position, before)
        for position in dict.fromkeys(op.position for op in plan.operations)
    }


def _fit_after(plan: Teardown, position: str, before: Mapping[str, set[str]]) -> int:
    tasks = [step for step in plan.steps if step.operation.kind is Kind.TASK]
    first = max((step.number for step in tasks if step.operation.subject in plan.machine.first), default=0)
    there = [step for step in plan.steps if step.operation.position == position and step.number > first]
    if not there:
        return first
    common = set.intersection(*(before[step.operation.name] | {step.operation.name} for step in there))
    readying = [step.number for step in tasks if step.operation.name in common and step.number > first]
    if not readying:
        return first
    own = [step.number for step in there if step.number in readying]
    return max((there[0].number - 1, *own))


@dataclass(frozen=True)
class _Detours:
    """Mean cost of going to some joint of the plan in each gap before a step: ``gaps[set-up][gap]``."""

    gaps: tuple[tuple[Fraction, ...], ...]

    @classmethod
    def of(cls, plan: Teardown) -> _Detours:
        changes = Changes.of(plan.machine)
        setups = [Setup(op.position, op.tool) for op in plan.operations]
        undone = [Setup(op.position, op.tool) for op in plan.operations if op.kind is Kind.UNDO] or setups
        line = [changes.start(setups[0].position), *setups] if setups else []
        direct = [changes.seconds(a, b) for a, b in pairwise(line)]
        rows = {
            there: tuple(
                changes.seconds(a, there) + changes.seconds(there, b) - straight
                for a, b, straight in zip(line[:-1], line[1:], direct, strict=True)
            )
            for there in dict.fromkeys(undone)
        }
        return cls(tuple(rows[there] for there in undone))

    def late(self, step: int) -> Fraction:
        """Going there just before step number ``step``."""
        return sum((row[step - 1] for row in self.gaps), Fraction(0)) / len(self.gaps)

    def early(self, after: int, step: int) -> Fraction:
        """Going there wherever it costs least after step ``after`` and before step ``step``."""
        return sum((min(row[after:step]) for row in self.gaps), Fraction(0)) / len(self.gaps)
