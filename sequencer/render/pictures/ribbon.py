"""The order of work as a ribbon: a box for each station, row by row; walks and gates stand out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.steps.cards import USUAL
from sequencer.document.words import duration
from sequencer.errors import SequencerError
from sequencer.plan.plan import Plan
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.pictures.barring.scene import Rect, Scene, Text, svg_of
from sequencer.render.pictures.on_paper import pictures
from sequencer.render.pictures.ribbon_box import (
    BOX,
    COLUMNS,
    EDGE,
    GAP,
    LINE,
    TALL,
    UNDER,
    WIDE,
    StationBox,
    arrow_to,
    boxed,
    head_of_page,
    in_lines,
    stages,
)


def ribbon(job: PaperJob, plan: Plan) -> list[Scene]:
    """The pages of one way of a job, in points; a row never parts a station, a sitting begins a row."""
    cells = list(_cells(job, plan))
    title = clean(
        f"{job.name} – {'back together' if plan.back else 'apart'}, {duration(plan.totals.seconds)}"
    )
    top, below = head_of_page(title, cells)
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


def sketch_ribbon(job: PaperJob, scenes: Sequence[Scene], form: str, paper: str = "a4") -> list[bytes]:
    """The pages of a ribbon as ``svg``, ``png`` or ``pdf``.

    Raises:
        SequencerError: Asked for ``dot``, which has no rows, or a page could not be set.
    """
    if form == "dot":
        raise SequencerError("the ribbon of a plan has no text as DOT", "write it as svg, png or pdf")
    svgs = [svg_of(scene) for scene in scenes]
    if form == "svg":
        return [svg.encode() for svg in svgs]
    return pictures(svgs, job.name, job.on, form, paper)


def _cells(job: PaperJob, plan: Plan) -> Iterator[StationBox]:
    cards = [card for card in paper_cards(job, plan) if card.steps]
    begins = {one.steps[0].number: f"Sitting {number}" for number, of, one in job.sittings if of is plan}
    longest = max((card.seconds for card in cards), default=Fraction(1)) or Fraction(1)
    glyphs = Glyphs(text for card in cards for text in (card.where, card.tool, card.about))
    how_far = stages(job, plan, [[step.operation for step in card.steps] for card in cards])
    place = tool = ""
    for card, stage in zip(cards, how_far, strict=True):
        head = next((begins[step.number] for step in card.steps if step.number in begins), "")
        gates = [str(step.number) for step in card.steps if step.gate]
        walk = card.where != place or (None if card.tool == tool else False)
        told = [(f"{card.code}  {card.time}", True)]
        if walk or head:  # a place stands where one comes to it, not in each box
            told.append((glyphs.shown(card.where), bool(walk)))
        told += [(glyphs.shown(card.about), False), (glyphs.shown(card.tool), False)]
        if gates:
            told.append((f"gate at {', '.join(gates)}", True))
        place, tool = card.where, card.tool
        yield StationBox(
            card.code,
            in_lines(told),
            float(card.seconds / longest),
            bool(gates),
            walk,
            USUAL in card.time,
            head,
            stage,
        )


def _rows(cells: Iterable[StationBox]) -> Iterator[list[StationBox]]:
    row: list[StationBox] = []
    for cell in cells:
        if row and (len(row) == COLUMNS or cell.head):
            yield row
            row = []
        row.append(cell)
    if row:
        yield row


def _place(scene: Scene, row: Sequence[StationBox], y: float) -> None:
    if row[0].head:
        scene.items.append(Text(0, y + LINE, row[0].head, 11, bold=True))
        y += 2 * LINE
    tall = max(cell.tall for cell in row)
    for number, cell in enumerate(row):
        frame = Rect(GAP + number * (BOX + GAP), y, BOX, tall)
        scene.items += arrow_to(cell, frame)
        scene.groups.append(boxed(cell, frame))
