"""A picture of what blocks what, page by page; each page says where the rest stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from sequencer.document.barring.things import Barring, Boxed, Standing
from sequencer.document.clean import clean
from sequencer.document.words import plural
from sequencer.render.pictures.barring.cells import PITCH, SIZE, BoxLine, Elsewhere, ThingBox, drawn
from sequencer.render.pictures.barring.cutting import (
    BETWEEN,
    HEADING,
    INSET,
    LEAD,
    MARGIN,
    SCREEN,
    TITLE,
    Column,
    Format,
    Page,
    Strip,
    cut_up,
    first_lines,
    lead_wide,
)
from sequencer.render.pictures.barring.legend import entries, laid
from sequencer.render.pictures.barring.letters import wrapped
from sequencer.render.pictures.barring.levels import edges
from sequencer.render.pictures.barring.routes import Laid
from sequencer.render.pictures.barring.scene import Rect, Scene, Stroke, Text, frame_points, moved
from sequencer.render.pictures.boxes import encoded, node_key
from sequencer.wording import listing

LESS = (0.0, 24.0, 48.0, 96.0, 160.0)
"""Points of a page that are left free, one after the other, until what is said of other pages has room."""

MOST_WIDER = 400.0
"""Points by which the columns of a strip are widened at the most, so that fewer words are cut."""

LEAST = 440.0
"""Points that a page is wide at the least, so that a small picture is not blown up to a poster."""


def key_of(thing: Boxed) -> str:
    """The name of its node: ``part@position``; of work and fluids ``@task raise``, as no part is called."""
    if thing.look in (Standing.WORK, Standing.FLUID):
        return f"@{encoded(thing.key)}"
    return node_key(thing.key, thing.place)


def scenes(picture: Barring, formats: Sequence[Format] = SCREEN) -> list[Scene]:
    """The pages of a picture."""
    return _fitting(lambda less: _drawn(picture, cut_up(picture, formats, less=less)))


def scenes_of_sittings(
    picture: Barring,
    sittings: Sequence[frozenset[int]],
    only: int | None = None,
    formats: Sequence[Format] = SCREEN,
) -> list[Scene]:
    """A page or more for each sitting, known by the numbers of its steps; ``only`` one of them, from 1."""

    def drawn_with(less: float) -> list[_Drawn]:
        pages = [
            page
            for number, steps in enumerate(sittings, start=1)
            for page in cut_up(picture, formats, f"sitting {number}", less, steps)
        ]
        return _drawn(picture, pages)

    return _fitting(drawn_with, None if only is None else f"sitting {only}")


def _fitting(drawn_with: Callable[[float], list[_Drawn]], wanted: str | None = None) -> list[Scene]:
    """The pages, with as much left free at first that none is too tall once all is said on it."""
    found: list[tuple[_Drawn, Scene]] = []
    for less in LESS:
        found = [(page, page.scene()) for page in drawn_with(less)]
        if all(scene.tall <= page.page.form.tall for page, scene in found):
            break
    return [scene for page, scene in found if wanted is None or page.page.words == wanted]


def of_steps(picture: Barring, steps: frozenset[int]) -> Barring:
    """What is worked on in some of a plan's steps."""
    return replace(picture, things={key: one for key, one in picture.things.items() if one.steps & steps})


@dataclass(frozen=True)
class _Where:
    """For each thing the first page and the strip of it where it stands; and what waits for it."""

    home: dict[str, tuple[int, int]]
    waiting: dict[str, list[str]]


def _drawn(picture: Barring, pages: Sequence[Page]) -> list[_Drawn]:
    where = _Where({}, {})
    for number, page in enumerate(pages, start=1):
        for place, strip in enumerate(page.strips):
            for key in strip.keys:
                where.home.setdefault(key, (number, place))
    for source, waiting in edges(picture.things):
        where.waiting.setdefault(source, []).append(waiting)
    return [_Drawn(picture, page, (number, len(pages)), where) for number, page in enumerate(pages, start=1)]


class _Drawn:
    """One page being drawn."""

    def __init__(self, picture: Barring, page: Page, number: tuple[int, int], where: _Where) -> None:
        self.picture, self.page, self.where = picture, page, where
        self.number, self.pages = number
        self.laid = [self._laid(place, strip) for place, strip in enumerate(page.strips)]

    def _laid(self, place: int, strip: Strip) -> Laid:
        for cell in strip.cells:
            waiting = dict.fromkeys(self.where.waiting.get(cell.thing.key, ()))
            cell.below = (
                []
                if cell.goes_on
                else list(self._clears(place, waiting.keys() - strip.keys, waiting, gone=cell.lines[-1].gone))
            )
        laid_out = strip.laid()
        told = {
            cell.thing.key: cell.told(lambda key: self._elsewhere(place, key)) + 0.1 for cell in strip.cells
        }
        laid_out.widen(min(self.page.form.wide - 2 * MARGIN - laid_out.wide, MOST_WIDER), told)
        return laid_out

    def _clears(
        self, place: int, elsewhere: set[str], waiting: Iterable[str], *, gone: bool
    ) -> Iterator[BoxLine]:
        """For what in other strips, or on other pages, a thing has to move; ``gone`` as in the line above."""
        found: dict[Elsewhere, list[str]] = {}
        for key in waiting:
            there = self._elsewhere(place, key) if key in elsewhere else None
            if there is not None:
                found.setdefault(there, []).append(clean(self.picture.things[key].words))
        for there, names in found.items():
            yield BoxLine(f"for {listing(names)}", slanted=True, there=there, gone=gone)

    def _elsewhere(self, place: int, key: str) -> Elsewhere | None:
        """Where a thing is that is not in the strip at ``place``."""
        home = self.where.home.get(key)
        if home is None or key in self.page.strips[place].keys:
            return None
        here = [at for at, strip in enumerate(self.page.strips) if key in strip.keys]
        if here:
            return Elsewhere("below" if here[0] > place else "above")
        return Elsewhere(f"p {home[0]}", home[0])

    def title(self) -> str:
        """What the page shows."""
        words = [self.picture.title, self.page.words]
        if self.pages > 1:
            words.append(f"page {self.number} of {self.pages}")
        return ", ".join(word for word in words if word)

    def scene(self) -> Scene:
        """The page with everything on it."""
        wide = max(max(one.wide for one in self.laid) + 2 * MARGIN, LEAST)
        scene = Scene(wide, 0.0, self.title())
        y = self._top(scene, wide)
        for place, laid_out in enumerate(self.laid):
            y = self._boxes(scene, place, laid_out, y + (BETWEEN if place else 0.0))
        note = self.picture.staying if self.number == 1 else ""
        found, tall = laid(entries(self.picture, self.page.cells, self._ends()), note, wide - 2 * MARGIN)
        scene.items.append(Stroke(((MARGIN, y + 6), (wide - MARGIN, y + 6)), 0.5))
        scene.items += moved(found, MARGIN, y + 9)
        scene.tall = y + 9 + tall + MARGIN
        return scene

    def _ends(self) -> set[tuple[str, bool]]:
        """The heads of the arrows on the page, each with whether the job goes that way."""
        sinks = (sink for one in self.laid for wire in one.wires for sink in wire.sinks)
        lines = (sink.cell.lines[sink.place] for sink in sinks)
        return {(line.ask.arrow, line.way.taken) for line in lines if line.ask and line.way}

    def _top(self, scene: Scene, wide: float) -> float:
        """The title and what comes before everything else; how far down they go."""
        y = MARGIN
        if self.page.form.titled:
            for line in wrapped(clean(self.title()), wide - 2 * MARGIN, TITLE, bold=True):
                y += TITLE * 1.3
                scene.items.append(Text(MARGIN, y - 3, line, TITLE, bold=True))
            y += 1
        elif self.page.words:
            y += PITCH
            scene.items.append(Text(MARGIN, y - 2, self.page.words, SIZE, bold=True))
        lines = first_lines(self.picture, wide) if self.number == 1 else []
        if not lines:
            return y
        strip = Rect(MARGIN + 1, y + 1, wide - 2 * MARGIN - 2, len(lines) * PITCH + 6)
        scene.items.append(Stroke(frame_points(strip), 1.0, closed=True, round=INSET))
        for place, line in enumerate(lines):
            base = strip.y + 3 + PITCH * (place + 0.5) + 0.34 * SIZE
            if place == 0:
                scene.items.append(Text(MARGIN + INSET, base, LEAD, SIZE, bold=True))
            scene.items.append(Text(MARGIN + INSET + lead_wide(), base, line, SIZE))
        return strip.bottom + 3

    def _boxes(self, scene: Scene, place: int, laid_out: Laid, y: float) -> float:
        """A strip's columns, channels and what stands over them; how far down they go."""
        lowest = min((slot.y for slots in laid_out.columns for slot in slots), default=0.0)
        dy = y + HEADING - lowest
        x = MARGIN
        for number, column in enumerate(self.page.strips[place].columns):
            wide = laid_out.column_wide(number)
            scene.items.append(Text(x, y + PITCH - 2, self._heading(number, column), SIZE, slanted=True))
            for slot in laid_out.columns[number]:
                level = slot.y + slot.tall / 2 + dy
                if isinstance(slot, ThingBox):
                    slot.wide = wide
                    spot = Rect(x, slot.y + dy, wide, slot.tall)
                    key = key_of(slot.thing)
                    scene.groups.append(drawn(slot, spot, lambda key: self._elsewhere(place, key), key))
                else:
                    dash = "3 2.2" if slot.wire.is_dashed else ""
                    scene.items.append(Stroke(((x, level), (x + wide, level)), dash=dash, net=slot.wire.key))
            x += wide
            if number < len(laid_out.channels):
                scene.items += moved(laid_out.channels[number].drawn(x), 0.0, dy)
                x += laid_out.channels[number].wide
        return max((slot.y + slot.tall for slots in laid_out.columns for slot in slots), default=0.0) + dy

    def _heading(self, number: int, column: Column) -> str:
        if column.goes_on and number:
            return ""
        innermost = "the job" if self.picture.numbered else "innermost"
        words = plural(column.level, "step") + " out" if column.level else innermost
        return f"{words}, going on" if column.goes_on else words
