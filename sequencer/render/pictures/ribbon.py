"""The order of work as a ribbon: a box for each station in rows, read as a page is; walks, gates marked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.steps.cards import StationCard
from sequencer.document.words import duration
from sequencer.errors import SequencerError
from sequencer.plan.plan import Plan
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.pictures.barring.letters import width_of
from sequencer.render.pictures.barring.scene import Group, Rect, Scene, Stroke, Text, frame_points, svg_of
from sequencer.render.pictures.on_paper import pictures

WIDE, TALL = 740.0, 540.0
"""Points of a page: a sheet of A4 or Letter on its side, within its margins, without being made smaller."""

COLUMNS, GAP, PAD = 6, 8.0, 5.0
SIZE, LINE, BAR = 9.0, 11.0, 4.0
TOP = 40.0
"""Below the title and what the signs mean."""

EDGE = 2.0
"""Keeps a heavy frame on the page."""

BOX = (WIDE - 2 * EDGE - GAP * (COLUMNS - 1)) / COLUMNS
LEGEND = "Bold: a walk to this place. Bar: how long, against the longest station. Heavy frame: a torque gate."


@dataclass(frozen=True)
class _Cell:
    """A station's words, wrapped; ``share`` of the longest station's time; ``head`` begins a sitting."""

    card: StationCard
    lines: tuple[tuple[str, bool], ...]
    share: float
    gated: bool
    head: str = ""

    @property
    def tall(self) -> float:
        return len(self.lines) * LINE + BAR + 3 * PAD


def ribbon(job: PaperJob, plan: Plan) -> list[Scene]:
    """The pages of one way of a job, in points; a row never parts a station, a sitting begins a row."""
    title = f"{job.name} – {'back together' if plan.back else 'apart'}, {duration(plan.totals.seconds)}"
    scenes: list[Scene] = []
    y = TALL
    for row in _rows(list(_cells(job, plan))):
        need = max(cell.tall for cell in row) + GAP + (2 * LINE if row[0].head else 0)
        if y + need > TALL:
            scenes.append(_page(title))
            y = TOP
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
    words = [text for card in cards for text in (card.where, card.tool)]
    glyphs, place = Glyphs(words), ""
    for card in cards:
        head = next((begins[step.number] for step in card.steps if step.number in begins), "")
        gates = [str(step.number) for step in card.steps if step.gate]
        lines = [(f"{card.code}  {duration(card.seconds)}", True)]
        lines += [(line, card.where != place) for line in _wrapped(glyphs.shown(card.where))]
        lines += [(line, False) for line in _wrapped(glyphs.shown(card.tool))]
        if gates:
            lines += [(line, True) for line in _wrapped(f"gate at {', '.join(gates)}")]
        place = card.where
        yield _Cell(card, tuple(lines), float(card.seconds / longest), bool(gates), head)


def _wrapped(words: str) -> list[str]:
    """Lines that fit in a box in bold; a word too long for one is broken."""
    lines, room = [""], BOX - 2 * PAD
    for word in clean(words).split():
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, SIZE, bold=True) <= room:
            lines[-1] = longer
            continue
        lines.append("")
        for sign in word:
            if width_of(lines[-1] + sign, SIZE, bold=True) > room:
                lines.append("")
            lines[-1] += sign
    return [line for line in lines if line]


def _rows(cells: Iterable[_Cell]) -> Iterator[list[_Cell]]:
    row: list[_Cell] = []
    for cell in cells:
        if row and (len(row) == COLUMNS or cell.head):
            yield row
            row = []
        row.append(cell)
    if row:
        yield row


def _page(title: str) -> Scene:
    shown = Glyphs([title]).shown(clean(title))
    while width_of(shown, 12, bold=True) > WIDE:
        shown = shown[:-2].rstrip() + "…"
    return Scene(WIDE, TALL, title, [Text(0, 12, shown, 12, bold=True), Text(0, 26, LEGEND, SIZE)])


def _place(scene: Scene, row: Sequence[_Cell], y: float) -> None:
    if row[0].head:
        scene.items.append(Text(0, y + LINE, row[0].head, 11, bold=True))
        y += 2 * LINE
    tall = max(cell.tall for cell in row)
    for number, cell in enumerate(row):
        frame = Rect(EDGE + number * (BOX + GAP), y, BOX, tall)
        group = Group(cell.card.code, frame)
        group.items.append(Stroke(frame_points(frame), heavy=2.2 if cell.gated else 0.8, closed=True))
        for place, (words, bold) in enumerate(cell.lines):
            group.items.append(Text(frame.x + PAD, y + PAD + SIZE + place * LINE, words, SIZE, bold=bold))
        bar = Rect(frame.x + PAD, frame.bottom - PAD - BAR, max(1.0, cell.share * (BOX - 2 * PAD)), BAR)
        group.items.append(Stroke(frame_points(bar), closed=True, filled=True))
        scene.groups.append(group)
