"""The order of work as a ribbon: a box for each station in rows, as one reads; walks and gates stand out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.document.barring.things import Stage
from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.steps.cards import USUAL, StationCard
from sequencer.document.words import duration
from sequencer.errors import SequencerError
from sequencer.plan.plan import Plan
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.pictures.barring.frames import label
from sequencer.render.pictures.barring.legend import Sample, labelled, laid
from sequencer.render.pictures.barring.letters import wrapped
from sequencer.render.pictures.barring.scene import (
    Group,
    Item,
    Point,
    Rect,
    Scene,
    Stroke,
    Text,
    frame_points,
    moved,
    shifted,
    svg_of,
)
from sequencer.render.pictures.on_paper import pictures

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


@dataclass(frozen=True)
class _Cell:
    """A station's words, wrapped.

    Attributes:
        share: Of the longest station's time.
        walk: Whether one goes to another place for it; None where a sitting goes on with the same tool there.
        head: Names the sitting that it begins; empty elsewhere.
        stage: How far a job under way is with it; ``AWAY`` is done.
    """

    card: StationCard
    lines: tuple[tuple[str, bool], ...]
    share: float
    gated: bool
    walk: bool | None
    head: str = ""
    stage: Stage = Stage.AHEAD

    @property
    def tall(self) -> float:
        return (len(self.lines) + bool(self.stage.shown)) * LINE + BAR + 3 * PAD


def ribbon(job: PaperJob, plan: Plan) -> list[Scene]:
    """The pages of one way of a job, in points; a row never parts a station, a sitting begins a row."""
    cells = list(_cells(job, plan))
    title = clean(
        f"{job.name} – {'back together' if plan.back else 'apart'}, {duration(plan.totals.seconds)}"
    )
    top, below = _top(title, cells)
    scenes: list[Scene] = []
    y = TALL
    for row in _rows(cells):
        need = max(cell.tall for cell in row) + UNDER + (2 * LINE if row[0].head else 0)
        if y + need - UNDER + EDGE > TALL:
            scenes.append(Scene(WIDE, TALL, title, list(top)))
            y = below
        _place(scenes[-1], row, y)
        y += need
    return scenes


def sketch_ribbon(job: PaperJob, plan: Plan, form: str, paper: str = "a4") -> list[bytes]:
    """The ribbon as ``svg``, ``png`` or ``pdf``.

    Raises:
        SequencerError: Asked for ``dot``, which has no rows, or a page could not be set.
    """
    if form == "dot":
        raise SequencerError("the ribbon of a plan has no text as DOT", "write it as svg, png or pdf")
    svgs = [svg_of(scene) for scene in ribbon(job, plan)]
    if form == "svg":
        return [svg.encode() for svg in svgs]
    return pictures(svgs, job.name, job.on, form, paper)


def _cells(job: PaperJob, plan: Plan) -> Iterator[_Cell]:
    cards = [card for card in paper_cards(job, plan) if card.steps]
    begins = {one.steps[0].number: f"Sitting {number}" for number, of, one in job.sittings if of is plan}
    longest = max((card.seconds for card in cards), default=Fraction(1)) or Fraction(1)
    glyphs = Glyphs(text for card in cards for text in (card.where, card.tool))
    stages = _stages(job, plan, cards)
    place = tool = ""
    for card, stage in zip(cards, stages, strict=True):
        head = next((begins[step.number] for step in card.steps if step.number in begins), "")
        gates = [str(step.number) for step in card.steps if step.gate]
        walk = card.where != place or (None if card.tool == tool else False)
        told = [(f"{card.code}  {card.time}", True), (glyphs.shown(card.where), bool(walk))]
        told.append((glyphs.shown(card.tool), False))
        if gates:
            told.append((f"gate at {', '.join(gates)}", True))
        lines = [(line, bold) for words, bold in told for line in wrapped(words, ROOM, SIZE, bold=bold)]
        place, tool = card.where, card.tool
        yield _Cell(card, tuple(lines), float(card.seconds / longest), bool(gates), walk, head, stage)


def _stages(job: PaperJob, plan: Plan, cards: Sequence[StationCard]) -> Iterator[Stage]:
    """How far a job is with each station; the first of the way that it goes which is not done is next."""
    going = bool(job.ticked) and (not plan.back or job.behind(job.into))
    for card in cards:
        done = [bool(job.tick(plan, step.operation)) for step in card.steps]
        if all(done):
            yield Stage.AWAY
        elif going:
            going = False
            yield Stage.NEXT
        else:
            yield Stage.IN_HAND if any(done) else Stage.AHEAD


def _rows(cells: Iterable[_Cell]) -> Iterator[list[_Cell]]:
    row: list[_Cell] = []
    for cell in cells:
        if row and (len(row) == COLUMNS or cell.head):
            yield row
            row = []
        row.append(cell)
    if row:
        yield row


def _top(title: str, cells: Sequence[_Cell]) -> tuple[list[Item], float]:
    """What stands above the boxes of every page, title and legend; and where the boxes begin."""
    items: list[Item] = []
    y = 0.0
    for line in wrapped(Glyphs([title]).shown(title), WIDE, TITLE, bold=True):
        y += TITLE + 2
        items.append(Text(0, y - 2, line, TITLE, bold=True))
    legend, tall = laid(_meanings(cells), "", WIDE)
    items += moved(legend, 0.0, y + 2)
    return items, y + tall + UNDER


def _meanings(cells: Sequence[_Cell]) -> Iterator[Sample]:
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
    if any(USUAL in cell.card.time for cell in cells):
        yield Sample(6.0, lambda x, y: [Text(x, y + 3, USUAL, SIZE)], "the trade's standard times")


def _filled(points: tuple[Point, ...]) -> Stroke:
    return Stroke(points, closed=True, filled=True)


def _arrow(x: float, y: float, *, walk: bool) -> Stroke:
    """The sign before a box, its tip at ``x``: large and full of a walk, small and hollow of a new tool."""
    long, half = (7.0, 6.0) if walk else (4.0, 2.5)
    return Stroke(((x - long, y - half), (x, y), (x - long, y + half)), heavy=0.7, closed=True, filled=walk)


def _place(scene: Scene, row: Sequence[_Cell], y: float) -> None:
    if row[0].head:
        scene.items.append(Text(0, y + LINE, row[0].head, 11, bold=True))
        y += 2 * LINE
    tall = max(cell.tall for cell in row)
    for number, cell in enumerate(row):
        frame = Rect(GAP + number * (BOX + GAP), y, BOX, tall)
        group = Group(cell.card.code, frame)
        group.items.append(Stroke(frame_points(frame), heavy=HEAVY if cell.gated else LIGHT, closed=True))
        done = cell.stage is Stage.AWAY
        if done:
            band = Rect(frame.x, frame.y, frame.wide, LINE + PAD)
            group.items.append(_filled(frame_points(band)))
        for place, (words, bold) in enumerate(cell.lines):
            base = y + PAD + SIZE + place * LINE
            light = done and place == 0
            group.items.append(Text(frame.x + PAD, base, words, SIZE, bold=bold, light=light))
        below = y + PAD + len(cell.lines) * LINE + LINE / 2 + 1
        group.items += label(cell.stage, frame.x + PAD, below, SIZE)
        bar = Rect(frame.x + PAD, frame.bottom - PAD - BAR, max(1.0, cell.share * ROOM), BAR)
        group.items.append(_filled(frame_points(bar)))
        if cell.walk is not None:
            scene.items.append(_arrow(frame.x - 3, y + PAD + SIZE / 2 + LINE, walk=cell.walk))
        scene.groups.append(group)
