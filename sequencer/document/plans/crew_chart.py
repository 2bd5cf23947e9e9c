"""The bar chart of a schedule in plain characters: a row for each person, a letter for each place."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.document.blocks import Block, Para, Verbatim
from sequencer.document.plans.crew_bars import Bar, Doing, bars, clock, initial, letters
from sequencer.plan.crew.crew import Schedule

SIGNS = {Doing.TOGETHER: "#", Doing.CHANGE: "-", Doing.WAIT: "."}
"""The signs for time not spent working at a place; work has the place's letter."""

TICKS = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480)
"""Minutes between two figures of the axis."""

MARGIN = 3
"""Columns before the bars."""

WIDE = 100
"""Columns of a chart where nobody says how many there are."""


def chart(schedule: Schedule, width: int = WIDE) -> Iterator[Block]:
    """Axis, a row for each person, and what the letters mean, ``width`` columns wide."""
    columns = max(20, width - MARGIN - 1)
    per_cell = float(schedule.seconds) / columns or 1.0
    letter = letters(schedule)
    lines = [" " * MARGIN + _axis(float(schedule.seconds), columns)]
    for person in range(schedule.people):
        cells = _cells(bars(schedule, person), columns, per_cell, letter)
        lines.append(f"{initial(person):<{MARGIN}}{cells}")
    yield Verbatim(tuple(lines))
    positions = schedule.plan.machine.positions
    meaning = [f"{letter[name]} {positions[name].label}" for name in letter]
    meaning += [f"{sign} {doing.value}" for doing, sign in SIGNS.items() if _occurs(schedule, doing)]
    yield Para("; ".join(meaning))


def _occurs(schedule: Schedule, doing: Doing) -> bool:
    return any(bar.doing is doing for person in range(schedule.people) for bar in bars(schedule, person))


def _axis(seconds: float, columns: int) -> str:
    """Figures at round times, each at the column of its moment, with no two running together."""
    fitting = (minutes for minutes in TICKS if columns * minutes * 60 >= 8 * seconds)
    step = next(fitting, TICKS[-1])
    line = ""
    minute = 0
    while minute * 60 < seconds:
        column = int(minute * 60 / seconds * columns)
        line = f"{line:<{column}}{clock(minute * 60)}"
        minute += step
    return line


def _cells(done: tuple[Bar, ...], columns: int, per_cell: float, letter: dict[str, str]) -> str:
    """Each cell shows what fills most of it."""
    cells = []
    for column in range(columns):
        begin, end = column * per_cell, (column + 1) * per_cell
        filled: dict[str, float] = {}
        for bar in done:
            share = min(end, float(bar.end)) - max(begin, float(bar.start))
            if share > 0:
                sign = SIGNS.get(bar.doing) or letter[bar.position or ""]
                filled[sign] = filled.get(sign, 0.0) + share
        cells.append(max(filled, key=filled.__getitem__) if filled else " ")
    return "".join(cells)
