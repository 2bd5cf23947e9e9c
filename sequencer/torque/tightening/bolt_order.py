"""In which order the bolts of one joint are tightened and loosened.

An order comes from the maker, or is generated: centre-out for heads, covers and rows, crosswise for flanges
and wheels (common practice). Positions are in millimetres, x to the right and y up, as you look at the heads
of the bolts. A generated order is always marked so. A circle and a row can be counted without positions; a
head or a cover can't, and then there are words instead of numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sequencer.torque.fastener_error import FastenerError

PATTERNS = ("spiral", "cross", "line")
LOOSENED_IN_ORDER = 6
"""From this many bolts on, the loosening order matters (outside in). Common practice."""

RING_TOLERANCE = 0.03
"""Bolts whose distances from the centre differ by less than this share of the largest make one ring."""

OUTWARDS = {
    "spiral": "from the middle outwards, to and fro across it",
    "cross": "crosswise, each time the one opposite",
    "line": "from the middle outwards to both ends",
}
INWARDS = {
    "spiral": "from the outside inwards, to and fro across it",
    "cross": "crosswise, each time the one opposite",
    "line": "from both ends inwards",
}
"""Orders in words by pattern, where nothing tells the places of the bolts that numbers would stand for."""

_COUNTED = {"cross": "clockwise from the top", "line": "along the row"}
"""How the bolts are numbered where the file gives no places."""

Point = tuple[float, float]


@dataclass(frozen=True)
class BoltOrder:
    """The order of the bolts of one joint.

    Attributes:
        labels: The bolts as listed, by the names that the maker gives them. One that has none, or only a
            number, has one number where its place is known: its place in the order, so that no picture
            shows two. Without places the maker's numbers stay, and others count from 1.
        at: Where each of ``labels`` sits, in mm; empty where nothing tells.
        tighten: Labels in tightening order; empty for a spiral without places, which has no numbers.
        loosen: Labels in loosening order; empty below six bolts, where any order will do.
        pattern: ``given``, ``spiral``, ``cross`` or ``line``.
        assumed_layout: The file gives no places: a circle or a row by the count alone.
    """

    labels: tuple[str, ...]
    at: tuple[Point, ...]
    tighten: tuple[str, ...]
    loosen: tuple[str, ...]
    pattern: str
    assumed_layout: bool

    @property
    def generated(self) -> bool:
        """Whether the order is ours, not the maker's."""
        return self.pattern != "given"

    @property
    def numbered(self) -> bool:
        """Whether its numbers mean something to who stands at the joint: the maker's, or of known places."""
        return bool(self.tighten) and not (self.generated and self.assumed_layout)

    @property
    def pictured(self) -> bool:
        """Whether there are places to draw its numbers at."""
        return self.numbered and bool(self.at)

    @property
    def loosened_in_order(self) -> bool:
        """Whether there are so many bolts that the loosening has an order too."""
        return len(self.labels) >= LOOSENED_IN_ORDER

    @property
    def mark(self) -> str:
        """What has to stand beside the order wherever it is shown."""
        if not self.generated:
            return "order as the file gives it"
        if not self.tighten:
            return f"{OUTWARDS[self.pattern]} (common practice); the maker's own order goes before it"
        return f"{self.pattern} order, generated{self._guess}; the maker's own order goes before it"

    @property
    def loosening_mark(self) -> str:
        """The same for the loosening order, which is generated whoever gave the tightening order."""
        if not self.tighten:
            return f"{INWARDS[self.pattern]} (common practice); the maker's own order goes before it"
        return f"generated: the tightening order backwards{self._guess}; the maker's own order goes before it"

    @property
    def _guess(self) -> str:
        guessed = self.assumed_layout and self.generated
        return f", counted {_COUNTED[self.pattern]}" if guessed and self.pattern in _COUNTED else ""


def bolt_order(
    count: int,
    *,
    at: Sequence[Sequence[float]] = (),
    order: Sequence[str] = (),
    pattern: str | None = None,
) -> BoltOrder:
    """The order for a joint of ``count`` bolts.

    Args:
        count: How many bolts.
        at: Where they sit, in mm; left out, a circle or a row is counted, and a spiral has no numbers.
        order: The maker's order by label; it is kept as it is.
        pattern: ``spiral``, ``cross`` or ``line``; left out, told from the positions or the count.

    Raises:
        FastenerError: The order names a bolt twice or not all of them, ``at`` has not one point for each
            bolt, or the pattern is unknown.
    """
    _check(count, at, order, pattern)
    labels = _labels(count, order)
    chosen = pattern or _told_pattern(count, at)
    points = tuple((float(x), float(y)) for x, y in at) or _layout(count, chosen)
    tighten = tuple(order) or tuple(labels[index] for index in _indexes(points, chosen))
    if at and all(label.isdecimal() for label in labels):
        ranks = {label: str(rank) for rank, label in enumerate(tighten, start=1)}
        labels, tighten = tuple(ranks[label] for label in labels), tuple(ranks.values())
    loosen = tuple(reversed(tighten)) if count >= LOOSENED_IN_ORDER else ()
    return BoltOrder(labels, points, tighten, loosen, "given" if order else chosen, not at)


def cross_indexes(count: int) -> tuple[int, ...]:
    """Crosswise order of ``count`` bolts numbered round a circle from 0.

    An opposite pair, then the pair at a right angle to it, then the angles between, as far from the last four
    as may be. For 4, 8, 12, 16, 20 and 24 bolts this is the cross pattern of ASME PCC-1 (legacy method); for
    an odd count it is the star that wheels are tightened in (common practice).
    """
    if count % 2:
        step = max(1, count // 2)
        return tuple(index * step % count for index in range(count))
    fold = 4 if count % 4 == 0 else 2
    turns = (0, count // 2, count // 4, count // 4 * 3) if fold == 4 else (0, count // 2)
    return tuple((offset + turn) % count for offset in _spread(count // fold) for turn in turns)


def _spread(count: int) -> list[int]:
    """0 … count − 1 so that neighbours in the list are about half of ``count`` apart."""
    step = max(1, count // 2)
    return [index for start in range(step) for index in range(start, count, step)]


def _indexes(points: Sequence[Point], pattern: str) -> list[int]:
    if not points:
        return []
    if pattern == "line":
        # From the middle out to both ends, so that a gasket is pressed out flat. Common practice.
        middle = _middle(points)
        away = [round(math.dist(point, middle), 6) for point in points]
        return sorted(range(len(points)), key=lambda index: (away[index], index))
    rings = [list(range(len(points)))] if pattern == "cross" else _rings(points)
    return [index for ring in rings for index in _crosswise(ring, points)]


def _rings(points: Sequence[Point]) -> list[list[int]]:
    """Indexes of the points by distance from their middle, nearest first, equal distances together."""
    middle = _middle(points)
    distance = [math.dist(point, middle) for point in points]
    slack = RING_TOLERANCE * max(distance, default=0.0)
    rings: list[list[int]] = []
    start = -math.inf
    for index in sorted(range(len(points)), key=lambda i: (distance[i], i)):
        if distance[index] > start + slack:
            rings.append([])
            start = distance[index]
        rings[-1].append(index)
    return rings


def _crosswise(ring: Sequence[int], points: Sequence[Point]) -> list[int]:
    """One ring in crosswise order, clockwise from the top."""
    x, y = _middle(points)

    def clockwise(index: int) -> float:
        turn = math.atan2(points[index][0] - x, points[index][1] - y)
        return round(turn % (2 * math.pi), 9) % round(2 * math.pi, 9)

    round_the_clock = sorted(ring, key=lambda index: (clockwise(index), index))
    return [round_the_clock[place] for place in cross_indexes(len(ring))]


def _middle(points: Sequence[Point]) -> Point:
    return (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))


def _told_pattern(count: int, at: Sequence[Sequence[float]]) -> str:
    """The pattern that fits: a circle goes crosswise, all else from the centre out; one or two in line."""
    if count < 3:
        return "line"
    if at:
        return "cross" if len(_rings([(x, y) for x, y in at])) == 1 else "spiral"
    return "cross" if count < LOOSENED_IN_ORDER else "spiral"


def _layout(count: int, pattern: str) -> tuple[Point, ...]:
    """Positions in mm for a count alone: a circle clockwise from the top, or a row; none for a spiral."""
    if pattern == "cross":
        turns = [2 * math.pi * index / count for index in range(count)]
        return tuple((50 * math.sin(turn), 50 * math.cos(turn)) for turn in turns)
    if pattern == "line":
        return tuple((30.0 * index, 0.0) for index in range(count))
    return ()


def _labels(count: int, order: Sequence[str]) -> tuple[str, ...]:
    if not order:
        return tuple(str(number) for number in range(1, count + 1))
    return tuple(sorted(order, key=lambda label: (len(label), label)))


def _check(count: int, at: Sequence[Sequence[float]], order: Sequence[str], pattern: str | None) -> None:
    if count < 1:
        raise FastenerError("a joint has at least one bolt", "write its count")
    if at and len(at) != count:
        raise FastenerError(
            f"'at' has {len(at)} places for {count} bolts", "give one [x, y] in mm for each bolt"
        )
    if any(len(point) != 2 for point in at):
        raise FastenerError("a place under 'at' is not a pair", "write [x, y] in mm")
    if twice := sorted({label for label in order if list(order).count(label) > 1}):
        raise FastenerError(f"the order names {', '.join(twice)} twice", "name each bolt once")
    if order and len(order) != count:
        raise FastenerError(f"the order has {len(order)} bolts, and the joint {count}", "name each bolt once")
    if pattern is not None and pattern not in PATTERNS:
        raise FastenerError(f"'{pattern}' is no pattern that I know", f"write one of {', '.join(PATTERNS)}")
