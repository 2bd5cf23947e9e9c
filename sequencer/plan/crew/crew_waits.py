"""Where people who share a job depend on one another: whose step waits for whose, and what changes hands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from sequencer.plan.crew.crew import CrewTurn, Scarce, Schedule, Visit

SOON = 120
"""Seconds within which a tool that is put down is still handed over."""


@dataclass(frozen=True)
class CrewWait:
    """A turn of one person that can't start before another's has ended.

    Attributes:
        turn: The number of the turn that waits; ``person`` does it.
        after: The number of the turn that is waited for; ``of`` does it.
        thing: What the other gives up: a tool, a drive or a position; None where the other's work is needed.
    """

    turn: int
    person: int
    after: int
    of: int
    thing: Scarce | None = None


def together(schedule: Schedule) -> tuple[CrewTurn, ...]:
    """The turns that take several people at once."""
    return tuple(turn for turn in schedule.turns if len(turn.people) > 1)


def waits(schedule: Schedule) -> tuple[CrewWait, ...]:
    """What each person has to wait for, by turn; what they know from an earlier wait isn't said again.

    Who has waited for a turn of somebody, or has done one together with them, knows that all of their turns
    up to there are done.
    """
    handed = _handed(schedule)
    known: dict[tuple[int, int], int] = {}
    found: list[CrewWait] = []
    by_name = {turn.step.operation.name: turn for turn in schedule.turns}
    for turn in schedule.turns:
        for person in turn.people:
            fresh = [*_needs(schedule, by_name, turn, person), *handed.get((turn.number, person), ())]
            fresh = [w for w in fresh if _in_hand(w) or w.after > known.get((person, w.of), 0)]
            left = {(w.of, w.after) for w in fresh if w.thing and w.thing.kind == "position"}
            fresh = [w for w in fresh if w.thing is not None or (w.of, w.after) not in left]
            latest = {w.of: max(v.after for v in fresh if v.of == w.of) for w in fresh}
            found += [w for w in fresh if _in_hand(w) or w.after == latest[w.of]]
            for other, number in latest.items():
                known[person, other] = max(known.get((person, other), 0), number)
        for person in turn.people:
            known.update({(person, other): turn.number for other in turn.people if other != person})
    return tuple(found)


def handings(schedule: Schedule) -> tuple[CrewWait, ...]:
    """The waits at which a tool or a drive goes from hand to hand; what lies about for long isn't handed."""
    turns = {turn.number: turn for turn in schedule.turns}
    return tuple(
        wait
        for wait in waits(schedule)
        if _in_hand(wait) and turns[wait.turn].start - turns[wait.after].end <= SOON
    )


def _in_hand(wait: CrewWait) -> bool:
    return wait.thing is not None and wait.thing.kind != "position"


def _needs(
    schedule: Schedule, by_name: dict[str, CrewTurn], turn: CrewTurn, person: int
) -> Iterator[CrewWait]:
    """Of each clause the first to be done; nothing where the person has a hand in it."""
    for clause in schedule.needs[turn.step.operation.name]:
        first = min((by_name[name] for name in clause), key=lambda other: (other.end, other.number))
        if person not in first.people:
            yield CrewWait(turn.number, person, first.number, first.people[0])


def _handed(schedule: Schedule) -> dict[tuple[int, int], list[CrewWait]]:
    """What passes from hand to hand, of things of which there is one; by turn and person who gets it."""
    uses: dict[Scarce, list[tuple[Visit, int]]] = {}
    for person, visits in enumerate(schedule.visits):
        for visit in visits:
            for thing in schedule.things_of(visit.turn.step.operation.position, visit.tool):
                if schedule.things[thing] == 1:
                    uses.setdefault(thing, []).append((visit, person))
    handed: dict[tuple[int, int], list[CrewWait]] = {}
    for thing, users in uses.items():
        users.sort(key=lambda use: (use[0].turn.start, use[0].turn.number))
        for (last, of), (visit, person) in pairwise(users):
            if person != of and last.turn.number != visit.turn.number:
                wait = CrewWait(visit.turn.number, person, last.turn.number, of, thing)
                handed.setdefault((visit.turn.number, person), []).append(wait)
    return {key: _with_handle(got) for key, got in handed.items()}


def _with_handle(got: list[CrewWait]) -> list[CrewWait]:
    """A bit that comes on its handle is one thing to hand over."""
    bits = {(w.of, w.after) for w in got if w.thing and w.thing.kind == "tool"}
    return [w for w in got if not (w.thing and w.thing.kind == "drive" and (w.of, w.after) in bits)]
