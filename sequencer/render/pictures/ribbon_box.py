"""The boxes of a ribbon: a station's words in a frame, black where it is done; and what their signs mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sequencer.document.barring.things import Stage
from sequencer.document.steps.cards import USUAL
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.pictures.barring.frames import label
from sequencer.render.pictures.barring.legend import Sample, labelled, laid
from sequencer.render.pictures.barring.letters import wrapped
from sequencer.render.pictures.barring.scene import (
    Group,
    Item,
    Point,
    Rect,
    Stroke,
    Text,
    frame_points,
    moved,
    shifted,
)

if TYPE_CHECKING:
    from sequencer.document.plans.both_ways import PaperJob
    from sequencer.plan.plan import Plan

WIDE, TALL = 740.0, 540.0
"""Points of a page: a sheet of A4 or Letter on its side, within its margins, without being made smaller."""

COLUMNS, GAP, UNDER, PAD = 6, 14.0, 8.0, 5.0
"""Between two boxes there is room for the sign of a walk; less is free under a row."""

SIZE, LINE, BAR = 9.0, 11.0, 4.0
TITLE = 12.0
LIGHT, HEAVY = 0.8, 2.4
EDGE = HEAVY / 2
"""Keeps a heavy frame on the page."""

BOX = (WIDE - EDGE - GAP * COLUMNS) / COLUMNS
ROOM = BOX - 2 * PAD


Told = tuple[str, bool]
"""Words, and whether they are bold."""


@dataclass(frozen=True)
class StationBox:
    """A station's words, wrapped.

    Attributes:
        share: Of the longest station's time.
        walk: Whether one goes to another place for it; None where one goes on with the same tool there.
        usual: Whether its time rests on a standard time of the trade.
        head: Names the sitting that it begins; empty elsewhere.
        stage: How far a job under way is with it; ``AWAY`` is done.
    """

    code: str
    lines: tuple[Told, ...]
    share: float
    gated: bool
    walk: bool | None
    usual: bool
    head: str = ""
    stage: Stage = Stage.AHEAD

    @property
    def tall(self) -> float:
        """Points of its box."""
        return (len(self.lines) + bool(self.stage.shown)) * LINE + BAR + 3 * PAD


def in_lines(told: Iterable[Told]) -> tuple[Told, ...]:
    """Words in the lines of a box."""
    return tuple((line, bold) for words, bold in told for line in wrapped(words, ROOM, SIZE, bold=bold))


def stages(job: PaperJob, plan: Plan, stations: Iterable[Sequence[str]]) -> Iterator[Stage]:
    """How far a job is with each station, told by its operations.

    The first that is not done, of the way that it goes, is next.
    """
    going = bool(job.ticked) and (not plan.back or job.behind(job.into))
    for operations in stations:
        done = [bool(job.tick(plan, operation)) for operation in operations]
        if all(done):
            yield Stage.AWAY
        elif going:
            going = False
            yield Stage.NEXT
        else:
            yield Stage.IN_HAND if any(done) else Stage.AHEAD


def head_of_page(
    title: str, cells: Sequence[StationBox], more: Iterable[Sample] = (), note: str = ""
) -> tuple[list[Item], float]:
    """What stands above the boxes of every page, title and legend; and where the boxes begin."""
    items: list[Item] = []
    y = 0.0
    for line in wrapped(Glyphs([title]).shown(title), WIDE, TITLE, bold=True):
        y += TITLE + 2
        items.append(Text(0, y - 2, line, TITLE, bold=True))
    legend, tall = laid([*_meanings(cells), *more], note, WIDE)
    items += moved(legend, 0.0, y + 2)
    return items, y + tall + UNDER


def _meanings(cells: Sequence[StationBox]) -> Iterator[Sample]:
    yield Sample(8.0, lambda x, y: [_arrow(x + 7, y, walk=True)], "a walk to another place (bold)")
    if any(cell.walk is False for cell in cells):
        yield Sample(8.0, lambda x, y: [_arrow(x + 7, y, walk=False)], "same place, another tool")
    bar = Rect(0, -BAR / 2, 20, BAR)
    yield Sample(
        22.0,
        lambda x, y: [_filled(shifted(frame_points(bar), x, y))],
        "how long, against the longest station",
    )
    if any(cell.gated for cell in cells):
        box = Rect(1.2, -4.5, 18, 9)
        yield Sample(
            22.0,
            lambda x, y: [Stroke(shifted(frame_points(box), x, y), heavy=HEAVY, closed=True)],
            "a torque gate, and its step",
        )
    if any(cell.stage is Stage.AWAY for cell in cells):
        band = Rect(0, -5, 20, 10)
        yield Sample(22.0, lambda x, y: [_filled(shifted(frame_points(band), x, y))], "done")
    for stage, words in ((Stage.NEXT, "the next station"), (Stage.IN_HAND, "begun, not finished")):
        if any(cell.stage is stage for cell in cells):
            yield labelled(stage, words)
    if any(cell.usual for cell in cells):
        yield Sample(6.0, lambda x, y: [Text(x, y + 3, USUAL, SIZE)], "the trade's standard times")


def _filled(points: tuple[Point, ...]) -> Stroke:
    return Stroke(points, closed=True, filled=True)


def _arrow(x: float, y: float, *, walk: bool) -> Stroke:
    """The sign before a box, its tip at ``x``: large and full of a walk, small and hollow of a new tool."""
    long, half = (7.0, 6.0) if walk else (4.0, 2.5)
    return Stroke(((x - long, y - half), (x, y), (x - long, y + half)), heavy=0.7, closed=True, filled=walk)


def boxed(cell: StationBox, frame: Rect) -> Group:
    """A station in its frame."""
    group = Group(cell.code, frame)
    group.items.append(Stroke(frame_points(frame), heavy=HEAVY if cell.gated else LIGHT, closed=True))
    done = cell.stage is Stage.AWAY
    if done:
        band = Rect(frame.x, frame.y, frame.wide, LINE + PAD)
        group.items.append(_filled(frame_points(band)))
    for place, (words, bold) in enumerate(cell.lines):
        base = frame.y + PAD + SIZE + place * LINE
        light = done and place == 0
        group.items.append(Text(frame.x + PAD, base, words, SIZE, bold=bold, light=light))
    below = frame.y + PAD + len(cell.lines) * LINE + LINE / 2 + 1
    group.items += label(cell.stage, frame.x + PAD, below, SIZE)
    if cell.share:
        bar = Rect(frame.x + PAD, frame.bottom - PAD - BAR, max(1.0, cell.share * ROOM), BAR)
        group.items.append(_filled(frame_points(bar)))
    return group


def arrow_to(cell: StationBox, frame: Rect) -> Iterator[Stroke]:
    """The sign of a walk or of another tool, before a box."""
    if cell.walk is not None:
        yield _arrow(frame.x - 3, frame.y + PAD + SIZE / 2 + LINE, walk=cell.walk)
