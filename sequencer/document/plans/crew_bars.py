"""What each person does when, as stretches of time: what both bar charts draw."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from sequencer.plan.crew.crew import Schedule, Visit


class Doing(Enum):
    """What somebody does in a stretch."""

    WORK = "at work"
    TOGETHER = "together"
    CHANGE = "walking, changing tools"
    WAIT = "waiting"


@dataclass(frozen=True)
class Bar:
    """A stretch of one person's time; at work with its visits, all at one place with one tool."""

    doing: Doing
    start: Fraction
    end: Fraction
    visits: tuple[Visit, ...] = ()

    @property
    def position(self) -> str | None:
        """Where the work is done."""
        return self.visits[0].turn.step.operation.position if self.visits else None


def initial(person: int) -> str:
    """The name of a person: A, B, C and so on."""
    return chr(ord("A") + person)


def clock(seconds: Fraction | float) -> str:
    """Time since the beginning, as ``1:05`` for an hour and five minutes."""
    minutes = int(seconds) // 60
    return f"{minutes // 60}:{minutes % 60:02d}"


def letters(schedule: Schedule) -> dict[str, str]:
    """A letter for each position of the schedule: of its name where that is free; capitals are people."""
    used: dict[str, str] = {}
    for position in dict.fromkeys(turn.step.operation.position for turn in schedule.turns):
        named = [c.lower() for c in position if c.isascii() and c.isalpha()]
        spare = [*"abcdefghijklmnopqrstuvwxyz0123456789", *map(chr, range(0x101, 0x400))]
        free = (c for c in [*named, *spare] if c not in used.values() and c.isalnum())
        used[position] = next(free)
    return used


def bars(schedule: Schedule, person: int) -> tuple[Bar, ...]:
    """A person's time from the beginning to their last step, without a hole."""
    found: list[Bar] = []
    for bar in _stretches(schedule, person):
        last = found[-1] if found else None
        if last and _go_on(last, bar):
            found[-1] = Bar(bar.doing, last.start, bar.end, (*last.visits, *bar.visits))
        elif bar.end > bar.start or bar.visits:
            found.append(bar)
    return tuple(found)


def _stretches(schedule: Schedule, person: int) -> Iterator[Bar]:
    free = Fraction(0)
    for visit in schedule.visits[person]:
        turn = visit.turn
        change = turn.start - visit.change_seconds
        if change > free:
            yield Bar(Doing.WAIT, free, change)
        if turn.start > change:
            yield Bar(Doing.CHANGE, change, turn.start)
        doing = Doing.TOGETHER if len(turn.people) > 1 else Doing.WORK
        yield Bar(doing, turn.start, turn.end, (visit,))
        free = turn.end


def _go_on(last: Bar, bar: Bar) -> bool:
    if bar.doing is not Doing.WORK or last.doing is not Doing.WORK:
        return False
    return last.position == bar.position and last.visits[-1].tool == bar.visits[0].tool
