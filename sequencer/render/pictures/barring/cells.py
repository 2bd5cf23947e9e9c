"""One box: its lines of words, how tall it is, where on it lines begin and end, and how it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from sequencer.document.barring.things import Ask, Boxed, Option, Stage, Standing
from sequencer.document.clean import clean
from sequencer.render.pictures.barring.frames import TANK, frame, label, label_wide
from sequencer.render.pictures.barring.letters import cut, width_of, wrapped
from sequencer.render.pictures.barring.scene import (
    Dot,
    Group,
    Item,
    Rect,
    Stroke,
    Text,
    frame_points,
)

SIZE, PITCH = 8.5, 11.0
"""Points of the letters, and from line to line."""

NAME, AIM = 9.5, 15.0
"""Points of a box's name; of what the job is for."""

WIDE, AIM_WIDE = 156.0, 200.0
PAD, GAP, INDENT = 4.0, 3.0, 7.0
EDGE = 2.0
"""Points from a box's frame to its column of numbers: corners may be round."""

RING = 2.2
"""Points of half the ring that marks a way not taken."""

SIGNS = 38.0
"""Points at a line's end for where the other thing stands, and for the ring."""

BRACKET = 6.0
"""Points from a box's rule to the bracket around the ways of a choice."""


@dataclass(frozen=True)
class Elsewhere:
    """Where something stands that no line leads to: ``below``, or ``p 2`` with the number of that page."""

    words: str
    page: int | None = None


@dataclass(frozen=True)
class BoxLine:
    """A line of a box; ``way`` is what waits here, ``joint`` the joint that it is about.

    ``gone``: what it is about is undone or away, in a job under way; ``stage`` stands before the words.
    """

    words: str
    size: float = SIZE
    number: str = ""
    bold: bool = False
    slanted: bool = False
    indent: float = 0.0
    ask: Ask | None = None
    way: Option | None = None
    joint: str | None = None
    mark: str = ""
    there: Elsewhere | None = None
    grouped: bool = False
    gone: bool = False
    stage: Stage = Stage.AHEAD

    @property
    def tall(self) -> float:
        """Points down to the next line."""
        return round(self.size * PITCH / SIZE)


@dataclass
class ThingBox:
    """A box, or a piece of one whose lines are too many for a page."""

    thing: Boxed
    lines: list[BoxLine]
    column: float
    wide: float
    goes_on: bool = False
    y: float = 0.0
    below: list[BoxLine] = field(default_factory=list)

    @property
    def tall(self) -> float:
        """Its height."""
        under = TANK if self.thing.look is Standing.FLUID else 0.0
        return sum(line.tall for line in (*self.lines, *self.below)) + 2 * GAP + under

    def told(self, elsewhere: Callable[[str], Elsewhere | None]) -> float:
        """How wide it has to be for no line to be cut; ``elsewhere`` as for ``drawn``."""
        most = 0.0
        for line in (*self.lines, *self.below):
            there = line.there or (elsewhere(line.way.thing) if line.way else None)
            signs = [words for words in (there.words if there else "", line.mark) if words]
            beside = sum(width_of(words, SIZE, bold=True) + 3 for words in signs)
            ring = 2 * RING + 3 if line.way is not None and not line.way.taken else 0.0
            words = width_of(line.words, line.size, bold=line.bold)
            most = max(most, self.column + PAD + line.indent + words + beside + ring + PAD)
        return most

    def out_of(self, joint: str | None) -> float:
        """How far down a line begins: at the joint that is meant, or else at the name."""
        found = [place for place, line in enumerate(self.lines) if line.joint == joint and line.joint]
        return self._middle(found[0] if found else 0)

    def into(self, place: int) -> float:
        """How far down a line ends that is about what waits in line ``place``."""
        return self._middle(place)

    def _middle(self, place: int) -> float:
        return GAP + sum(line.tall for line in self.lines[:place]) + self.lines[place].tall / 2


def cells_of(thing: Boxed, marks: Mapping[str, str], tallest: float) -> list[ThingBox]:
    """The box of a thing, in pieces of at most ``tallest`` points; ``marks`` are the letters of positions."""
    numbers = [thing.number, *(row.numbers for row in thing.rows)]
    column = max((width_of(words, SIZE, bold=True) + 2 * PAD for words in numbers if words), default=0.0)
    wide = AIM_WIDE if thing.look is Standing.AIM else WIDE
    head = list(_head(thing, marks, wide - column - 2 * PAD))
    rest = list(_told_apart(list(_body(thing, marks, wide - column - 2 * PAD)), wide - column - 2 * PAD))
    cells = [ThingBox(thing, head, column, wide)]
    for line in rest:
        if cells[-1].tall + line.tall + 2 * PITCH > tallest and len(cells[-1].lines) > len(head):
            again = replace(head[0], words=cut(f"{clean(thing.words)} …", wide - 4 * PAD, SIZE), size=SIZE)
            cells.append(ThingBox(thing, [replace(again, number="", mark="")], column, wide, goes_on=True))
        cells[-1].lines.append(line)
    return cells


def _told_apart(lines: list[BoxLine], room: float) -> Iterator[BoxLine]:
    """The same lines, in full over more than one where cut short they would read like another's."""
    short = [cut(line.words, room - line.indent - SIGNS, SIZE) for line in lines]
    for line, words in zip(lines, short, strict=True):
        if line.way is None or words == line.words or short.count(words) == 1:
            yield line
            continue
        first, *more = wrapped(line.words, room - line.indent - SIGNS, SIZE)
        yield replace(line, words=first)
        for going_on in more:
            yield replace(
                line, words=going_on, number="", indent=line.indent + INDENT, ask=None, way=None, joint=None
            )


def _head(thing: Boxed, marks: Mapping[str, str], room: float) -> Iterator[BoxLine]:
    size = AIM if thing.look is Standing.AIM else NAME
    mark = marks.get(thing.place, "")
    bold = thing.look is not Standing.OPENED
    for place, words in enumerate(wrapped(clean(thing.words), room - (12 if mark else 0), size, bold=bold)):
        first = place == 0
        number, sign = (thing.number, mark) if first else ("", "")
        yield BoxLine(words, size, number, bold=bold, mark=sign, gone=thing.gone)


def _stage(thing: Boxed, room: float) -> Iterator[BoxLine]:
    """How far a job is with a thing: a label, and where that has left it."""
    indent = label_wide(thing.stage, SIZE)
    if indent or thing.told:
        first, *more = wrapped(thing.told, room - indent, SIZE)
        yield BoxLine(first, indent=indent, gone=thing.gone, stage=thing.stage)
        yield from (BoxLine(words, gone=thing.gone) for words in more)


def _body(thing: Boxed, marks: Mapping[str, str], room: float) -> Iterator[BoxLine]:
    yield from _stage(thing, room)
    for ask in thing.asks:
        yield from _asked(ask, 0.0, gone=thing.gone)
    for row in thing.rows:
        mark = marks.get(row.place, "")
        for place, words in enumerate(wrapped(clean(row.words), room - (12 if mark else 0), SIZE)):
            number, sign = (row.numbers, mark) if place == 0 else ("", "")
            yield BoxLine(words, number=number, joint=row.joint, mark=sign, gone=row.gone)
        for ask in row.asks:
            yield from _asked(ask, INDENT, gone=row.gone)


def _asked(ask: Ask, indent: float, *, gone: bool) -> Iterator[BoxLine]:
    line = BoxLine(f"{ask.phrase} one of {len(ask.ways)}:", indent=indent, gone=gone)
    if len(ask.ways) == 1:
        way = ask.ways[0]
        words = f"{ask.phrase} {clean(way.words)}"
        yield replace(line, words=words, ask=ask, way=way, slanted=not way.taken)
        return
    yield line
    line = replace(line, indent=indent + INDENT, ask=ask, grouped=True)
    for way in ask.ways:
        yield replace(line, words=clean(way.words), way=way, slanted=not way.taken)


def drawn(cell: ThingBox, spot: Rect, elsewhere: Callable[[str], Elsewhere | None], key: str) -> Group:
    """A box at a spot; ``elsewhere`` tells where a thing stands to which no line leads from there."""
    group = Group(key, spot, list(frame(cell.thing.look, spot)))
    left = spot.x + cell.column
    if cell.column:
        group.items.append(Stroke(((left, spot.y + 2), (left, spot.bottom - 2)), 0.4))
    lines = [*cell.lines, *cell.below]
    y = spot.y + GAP
    group.items += _shade(lines, Rect(spot.x + EDGE, y, cell.column - EDGE, spot.tall))
    tied: list[float] = []
    for line in lines:
        there = line.there or (elsewhere(line.way.thing) if line.way else None)
        group.items += _line(line, (left, spot.right - PAD), y + line.tall / 2 + 0.34 * line.size, there)
        if tied and not line.grouped:
            group.items.append(_bracket(left + BRACKET, tied))
            tied = []
        if line.grouped:
            tied.append(y + line.tall / 2)
        y += line.tall
    if tied:
        group.items.append(_bracket(left + BRACKET, tied))
    return group


def _shade(lines: Sequence[BoxLine], column: Rect) -> Iterator[Stroke]:
    """The column of numbers, black beside what is gone; ``wide`` is negative where there is no column."""
    y = column.y
    for gone, run in groupby(lines, key=lambda line: line.gone):
        tall = sum(line.tall for line in run)
        if gone and column.wide > 0:
            yield Stroke(frame_points(Rect(column.x, y, column.wide, tall)), 0.4, closed=True, filled=True)
        y += tall


def _bracket(x: float, tied: list[float]) -> Stroke:
    """What holds the ways of one choice together: one bracket at their left."""
    top, bottom = tied[0] - 3, tied[-1] + 3
    return Stroke(((x + 2.5, top), (x, top), (x, bottom), (x + 2.5, bottom)), 0.8)


def _line(
    line: BoxLine, between: tuple[float, float], base: float, there: Elsewhere | None
) -> Iterator[Item]:
    left, right = between
    if line.number:
        yield Text(left - PAD, base, line.number, SIZE, bold=line.bold, end=True, light=line.gone)
    if line.way is not None and not line.way.taken:
        yield Dot(right - RING, base - 0.34 * line.size, RING, filled=False)
        right -= 2 * RING + 3
    for words, page in ((there.words, there.page) if there else ("", None), (line.mark, None)):
        if words:
            told = Text(right, base, words, SIZE, bold=True, end=True, page=page)
            yield told
            right = told.box.x - 3
    x = left + PAD + line.indent
    yield from label(line.stage, left + PAD, base - 0.34 * SIZE, SIZE)
    words = cut(line.words, right - x, line.size, bold=line.bold)
    if words:
        yield Text(x, base, words, line.size, line.bold, line.slanted)
