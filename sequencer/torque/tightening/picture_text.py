"""The picture of an order in signs, for a terminal: the same numbers at the same places as in the drawing."""

from __future__ import annotations

from sequencer.torque.tightening.bolt_order import BoltOrder

WIDEST = 64
"""Columns that a picture may take."""

LEAST = 12
"""Columns that even a few fasteners get, so that a circle looks like one."""

_TALL = 2.0
"""How many times as tall as wide a sign is on a screen."""

_APART = 2


def order_lines(order: BoltOrder) -> tuple[str, ...]:
    """The fasteners by their numbers in the tightening order, the first in brackets.

    As small as keeps two numbers in a row apart; nothing where there are no places, or where they lie too
    close for a screen's width.
    """
    if not order.pictured or len(order.at) < _APART:
        return ()
    names = {label: str(rank) for rank, label in enumerate(order.tighten, start=1)}
    marks = ["[1]" if names[label] == "1" else names[label] for label in order.labels]
    left, high = min(x for x, _ in order.at), max(y for _, y in order.at)
    wide = max(x for x, _ in order.at) - left
    for columns in range(LEAST, WIDEST - 3):
        scale = columns / max(wide, (high - min(y for _, y in order.at)) / 2, 1e-9)
        cells = [(round((high - y) * scale / _TALL), round((x - left) * scale)) for x, y in order.at]
        if max(column for _, column in cells) > WIDEST - 4:
            return ()
        if drawn := _drawn(cells, marks):
            return drawn
    return ()


def _drawn(cells: list[tuple[int, int]], marks: list[str]) -> tuple[str, ...]:
    """Marks centred on their cells, line by line; nothing where two of them run into each other."""
    lines = [""] * (max(row for row, _ in cells) + 1)
    for (row, column), mark in sorted(zip(cells, marks, strict=True)):
        start = column + 1 - len(mark) // 2
        if lines[row] and start <= len(lines[row]):
            return ()
        lines[row] = lines[row].ljust(start) + mark
    return tuple(lines)
