"""The ribbon of a plan for several people: a band for each, side by side by the clock, waits dashed.

A column begins whenever somebody begins a station, with the time above it; who is longer at one has a
box over several columns. So the clock runs from left to right, but not evenly: a short step needs room
for its words too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.document.barring.things import Stage
from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.plans.crew import CALL_OUT, HOLD
from sequencer.document.plans.crew_bars import Bar, Doing, bars, clock, initial
from sequencer.document.steps.cards import USUAL, StationCard, worked_on
from sequencer.document.steps.notes import usual
from sequencer.document.words import duration, tool_words
from sequencer.plan.crew.crew import Schedule
from sequencer.plan.crew.crew_waits import waits
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.pictures.barring.legend import Sample
from sequencer.render.pictures.barring.letters import cut
from sequencer.render.pictures.barring.scene import Rect, Scene, Stroke, Text
from sequencer.render.pictures.ribbon_box import (
    BOX,
    COLUMNS,
    EDGE,
    GAP,
    LINE,
    SIZE,
    TALL,
    UNDER,
    WIDE,
    StationBox,
    Told,
    arrow_to,
    boxed,
    head_of_page,
    in_lines,
    stages,
)
from sequencer.wording import listing

DASH = "2 3"
NAME = 11.0


@dataclass(frozen=True)
class _Spell:
    """One person's time at a station: its box, and the columns from the first to the last that it is over.

    Attributes:
        since: The first column in which its person has nothing else to do before it.
    """

    cell: StationBox
    waits: bool
    since: int
    first: int
    last: int


def people_ribbon(job: PaperJob, schedule: Schedule) -> list[Scene]:
    """The pages of a schedule, in points; only a way in has one."""
    told = _Told(job, schedule)
    bands, clocks = _in_columns([list(told.cells(person)) for person in range(schedule.people)])
    cells = [spell.cell for band in bands for spell in band]
    title = clean(f"{job.name} – apart, {schedule.people} people, {duration(schedule.seconds)}")
    hold = HOLD if schedule.plan.practice else ""
    top, below = head_of_page(title, cells, _meanings(bands), f"{CALL_OUT} {hold}")
    scenes: list[Scene] = []
    y = TALL
    for begin in range(0, len(clocks), COLUMNS):
        rows = [
            (told.names[person], row)
            for person, band in enumerate(bands)
            if (row := _Row.of(band, begin, person_idle=not band and not begin)).shown
        ]
        whole = LINE + sum(row.tall for _, row in rows)
        fresh = y + whole - UNDER > TALL and below + whole - UNDER <= TALL
        headed = False
        for name, row in rows:
            need = row.tall + (0 if headed else LINE)
            if fresh or y + need - UNDER + EDGE > TALL:
                scenes.append(Scene(WIDE, TALL, title, list(top)))
                y, fresh, headed = below, False, False
            if not headed:
                scenes[-1].items += _axis(clocks[begin : begin + COLUMNS], y)
                y, headed = y + LINE, True
            row.place(scenes[-1], name, y)
            y += row.tall
    return scenes


class _Told:
    """What the boxes of a schedule say."""

    def __init__(self, job: PaperJob, schedule: Schedule) -> None:
        self.job, self.schedule = job, schedule
        cards = [card for card in paper_cards(job, schedule.plan) if card.steps]
        self.cards = {step.number: card for card in cards for step in card.steps}
        people = range(schedule.people)
        known = dict(enumerate(job.people))
        self.names = [clean(known.get(person, f"Person {initial(person)}")) for person in people]
        self.short = [clean(known.get(person, initial(person))) for person in people]
        self.glyphs = Glyphs(
            [*self.names, *(words for card in cards for words in (card.where, card.tool, card.about))]
        )
        self.names, self.short = map(self._shown, (self.names, self.short))
        self.bars = [bars(schedule, person) for person in people]
        self.longest = max((_seconds(bar) for done in self.bars for bar in done if bar.visits), default=1)
        self.waited: dict[tuple[int, int], list[str]] = {}
        for wait in waits(schedule):
            self.waited.setdefault((wait.turn, wait.person), []).append(self.short[wait.of])

    def _shown(self, words: Sequence[str]) -> list[str]:
        return [self.glyphs.shown(one) for one in words]

    def cells(self, person: int) -> Iterator[tuple[Bar, StationBox, bool]]:
        """A person's stations in turn, each with whether they wait before it."""
        done = [bar for bar in self.bars[person] if bar.visits]
        names = [[visit.turn.step.operation.name for visit in bar.visits] for bar in done]
        machine = self.schedule.plan.machine
        place = tool = ""
        for bar, stage in zip(done, stages(self.job, self.schedule.plan, names), strict=True):
            first = bar.visits[0]
            where = clean(machine.positions[first.turn.step.operation.position].label)
            held = clean(tool_words(machine, first.tool))
            walk = where != place or (None if held == tool else False)
            place, tool = where, held
            told, rests = self._words(bar, person, where, held, walk=bool(walk))
            share = float(_seconds(bar) / self.longest) if self.longest else 0.0
            waiting = first.wait_seconds > 0
            cell = StationBox(self._code(bar), in_lines(told), share, False, walk, rests, stage=stage)
            yield bar, cell, waiting

    def _cards(self, bar: Bar) -> list[StationCard]:
        found = (self.cards[visit.turn.step.number] for visit in bar.visits)
        return list({card.code: card for card in found}.values())

    def _code(self, bar: Bar) -> str:
        return ", ".join(card.code for card in self._cards(bar))

    def _words(self, bar: Bar, person: int, where: str, tool: str, *, walk: bool) -> tuple[list[Told], bool]:
        steps = [visit.turn.step for visit in bar.visits]
        rests = bool(usual(self.schedule.plan, steps))
        mark = USUAL if rests else ""
        told = [(f"{self._code(bar)}  {mark}{duration(_seconds(bar))}", True)]
        told += [(self.glyphs.shown(where), True)] if walk else []
        about = worked_on(self.schedule.plan.machine, (step.operation for step in steps))
        told += [(self.glyphs.shown(about), False), (self.glyphs.shown(tool), False)]
        here = sum(len(card.steps) for card in self._cards(bar))
        if here > len(steps):
            numbers = sorted(step.number for step in steps)
            several = "steps" if len(numbers) > 1 else "step"
            told.append((f"only {several} {', '.join(map(str, numbers))}", False))
        first = bar.visits[0]
        if bar.doing is Doing.TOGETHER:
            others = listing(self.short[other] for other in first.turn.people if other != person)
            told.append((f"together with {others}", True))
        if first.wait_seconds > 0:
            whom = listing(dict.fromkeys(self.waited.get((first.turn.number, person), ())))
            told.append((f"waits {duration(first.wait_seconds)}{' for ' if whom else ''}{whom}", True))
        return told, rests


def _seconds(bar: Bar) -> Fraction:
    """How long somebody is at a station, with the way there, as for one person."""
    return bar.end - bar.start + bar.visits[0].change_seconds


def _in_columns(
    told: Sequence[Sequence[tuple[Bar, StationBox, bool]]],
) -> tuple[list[list[_Spell]], list[Fraction]]:
    """Everybody's stations in columns that begin when one of them does; and the times of the columns."""
    everything = [
        (bar, person, place) for person, mine in enumerate(told) for place, (bar, *_) in enumerate(mine)
    ]
    everything.sort(key=lambda one: (one[0].start, one[0].visits[0].turn.number, one[0].end, one[1]))
    clocks: list[Fraction] = []
    firsts: list[list[int]] = [[] for _ in told]
    for bar, person, _ in everything:
        busy = bool(firsts[person]) and firsts[person][-1] == len(clocks) - 1
        if not clocks or clocks[-1] != bar.start or busy:
            clocks.append(bar.start)
        firsts[person].append(len(clocks) - 1)
    bands: list[list[_Spell]] = []
    for mine, begins in zip(told, firsts, strict=True):
        band: list[_Spell] = []
        for (bar, cell, waiting), first, after in zip(
            mine, begins, [*begins[1:], len(clocks)][: len(mine)], strict=True
        ):
            last = max([first, *(n for n in range(first, after) if clocks[n] < bar.end)])
            since = band[-1].last + 1 if band else 0
            band.append(_Spell(cell, waiting, since, first, last))
        bands.append(band)
    return bands, clocks


@dataclass(frozen=True)
class _Row:
    """What one person does in the columns from ``begin`` on, as many as a page is wide."""

    begin: int
    boxes: tuple[tuple[StationBox, int, int], ...]
    dashes: tuple[tuple[int, int], ...]
    idle: bool

    @classmethod
    def of(cls, band: Sequence[_Spell], begin: int, *, person_idle: bool) -> _Row:
        end = begin + COLUMNS - 1
        boxes, dashes = [], []
        for spell in band:
            first, last = max(spell.first, begin), min(spell.last, end)
            if first <= last:
                boxes.append((_rest(spell.cell) if spell.first < begin else spell.cell, first, last))
            free, until = max(spell.since, begin), min(spell.first - 1, end)
            if spell.waits and free <= until:
                dashes.append((free, until))
        return cls(begin, tuple(boxes), tuple(dashes), person_idle)

    @property
    def shown(self) -> bool:
        return bool(self.boxes or self.dashes or self.idle)

    @property
    def tall(self) -> float:
        return LINE + 5 + max((cell.tall for cell, *_ in self.boxes), default=LINE) + UNDER

    def place(self, scene: Scene, name: str, y: float) -> None:
        words = f"{name}: nothing to do" if self.idle else name
        scene.items.append(Text(0, y + LINE, cut(words, WIDE, NAME), NAME, bold=True))
        y += LINE + 5
        tall = self.tall - UNDER - LINE - 5
        for cell, first, last in self.boxes:
            left = self._left(first)
            frame = Rect(left, y, self._left(last) + BOX - left, tall)
            scene.items += arrow_to(cell, frame)
            scene.groups.append(boxed(cell, frame))
        for first, last in self.dashes:
            middle = y + tall / 2
            ends = ((self._left(first), middle), (self._left(last) + BOX, middle))
            scene.items.append(Stroke(ends, dash=DASH))

    def _left(self, column: int) -> float:
        return GAP + (column - self.begin) * (BOX + GAP)


def _rest(cell: StationBox) -> StationBox:
    """A box that goes on in the next row."""
    stage = cell.stage if cell.stage is Stage.AWAY else Stage.AHEAD
    return replace(cell, lines=in_lines([(f"{cell.code} goes on", True)]), walk=None, share=0.0, stage=stage)


def _axis(clocks: Sequence[Fraction], y: float) -> Iterator[Text]:
    for number, seconds in enumerate(clocks):
        yield Text(GAP + number * (BOX + GAP), y + SIZE, clock(seconds), SIZE)


def _meanings(bands: Sequence[Sequence[_Spell]]) -> Iterator[Sample]:
    if any(spell.waits and spell.since < spell.first for band in bands for spell in band):
        yield Sample(22.0, lambda x, y: [Stroke(((x, y), (x + 20, y)), dash=DASH)], "waiting")
    yield Sample(18.0, lambda x, y: [Text(x, y + 3, "0:05", SIZE)], "hours and minutes from the beginning")
