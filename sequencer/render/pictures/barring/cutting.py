"""A picture cut into pages by levels: columns side by side in a strip, strips under each other on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from sequencer.document.barring.things import Barring
from sequencer.document.clean import clean
from sequencer.render.pictures.barring.cells import PITCH, SIZE, Cell, cells_of
from sequencer.render.pictures.barring.legend import entries, laid, marks_of
from sequencer.render.pictures.barring.letters import width_of, wrapped
from sequencer.render.pictures.barring.levels import levels, pieces
from sequencer.render.pictures.barring.routes import APART, Laid

MARGIN = 3.0
TITLE = 12.0
HEADING = PITCH + 4
"""Points that the words over columns take."""

BETWEEN = 10.0
"""Points between two strips."""

LEAD = "Before anything else"
INSET = 8.0

FILLS = (1.0, 0.8, 0.62)
"""How full columns are at first: fuller ones leave less room for lines that pass."""


@dataclass(frozen=True)
class Format:
    """How large a page may be, in points, and whether it has its title on it."""

    wide: float
    tall: float
    titled: bool = True


# On a sheet of A4 or letter paper there are 742 by 540 points for a drawing, upright or on its side. The larger
# pages are shrunk to that, and their smallest letters to just over 7 points.
_SIZES = ((742.0, 536.0), (536.0, 742.0), (858.0, 620.0), (620.0, 858.0))
SCREEN = tuple(Format(*size) for size in _SIZES)
PAPER = tuple(Format(*size, titled=False) for size in _SIZES)
WHOLE = (Format(float("inf"), 700.0),)
"""One page, however wide, for a surface that can be panned."""


@dataclass(frozen=True)
class Column:
    """Boxes under each other; ``level`` is how many steps out they stand."""

    level: int
    cells: tuple[Cell, ...]
    goes_on: bool


@dataclass(frozen=True)
class Strip:
    """Columns side by side."""

    columns: tuple[Column, ...]

    @property
    def cells(self) -> tuple[Cell, ...]:
        """All its boxes."""
        return tuple(cell for column in self.columns for cell in column.cells)

    @property
    def keys(self) -> set[str]:
        """The things on it."""
        return {cell.thing.key for cell in self.cells}

    def laid(self, room: float) -> Laid:
        """Its boxes and lines, as flat as they may be within ``room``."""
        columns = [column.cells for column in self.columns]
        flat = Laid(columns, 0.0)
        return Laid(columns, min(room, flat.needed * 1.1))


@dataclass(frozen=True)
class Page:
    """Strips under each other; ``words`` is what is said of the page beside the title."""

    strips: tuple[Strip, ...]
    words: str = ""

    @property
    def cells(self) -> tuple[Cell, ...]:
        """All its boxes."""
        return tuple(cell for strip in self.strips for cell in strip.cells)


def cut_up(picture: Barring, formats: Sequence[Format]) -> tuple[Format, list[Page]]:
    """As few pages as it takes, the aim on the first; and the format of them, the first that needs no more."""
    tries = ((form, _Cutting(picture, form, fill).pages()) for form in formats for fill in FILLS)
    return min(tries, key=lambda one: len(one[1]))


def first_lines(picture: Barring, wide: float) -> list[str]:
    """What comes before everything else, in lines of a strip that is so wide."""
    if not picture.first:
        return []
    words = "; ".join(f"{thing.number} {clean(thing.words)}".strip() for thing in picture.first)
    return wrapped(words, wide - 2 * MARGIN - 2 * INSET - lead_wide(), SIZE)


def lead_wide() -> float:
    """Points of the words before that."""
    return width_of(LEAD, SIZE, bold=True) + INSET


class _Cutting:
    def __init__(self, picture: Barring, form: Format, fill: float) -> None:
        self.picture, self.form, self.fill = picture, form, fill

    @cached_property
    def room(self) -> float:
        """Points for strips from top to bottom, beside all that else stands on a page."""
        picture, form = self.picture, self.form
        marks = marks_of(picture)
        cells = [cell for thing in picture.things.values() for cell in cells_of(thing, marks, float("inf"))]
        wide = min(form.wide, 1200.0) - 2 * MARGIN
        _, legend = laid(entries(picture, cells), picture.staying, wide)
        top = 1.3 * TITLE * len(wrapped(clean(f"{picture.title}, page 20 of 20"), wide, TITLE, bold=True)) + 4
        first = first_lines(picture, wide)
        strip = PITCH * len(first) + 9 if first else 0.0
        return form.tall - 2 * MARGIN - legend - 9 - (top if form.titled else PITCH + 3) - strip - HEADING

    def pages(self) -> list[Page]:
        strips: list[tuple[Strip, float]] = []
        columns = list(self._columns())
        while columns:
            strip, tall = self._longest(columns)
            del columns[: len(strip.columns)]
            strips.append((strip, tall))
        found: list[list[Strip]] = []
        full = 0.0
        for strip, tall in strips:
            needed = tall + HEADING + BETWEEN
            if found and full + needed <= self.room + HEADING:
                found[-1].append(strip)
                full += needed
            else:
                found.append([strip])
                full = needed
        return [Page(tuple(one)) for one in found]

    def _longest(self, columns: Sequence[Column]) -> tuple[Strip, float]:
        """As many columns as fit side by side, and how tall they are."""
        best = Strip(tuple(columns[:1])), self._tall(Strip(tuple(columns[:1])).laid(self.room))
        for end in range(2, len(columns) + 1):
            strip = Strip(tuple(columns[:end]))
            laid_out = strip.laid(self.room)
            tall = self._tall(laid_out)
            if laid_out.wide > self.form.wide - 2 * MARGIN or tall > self.room:
                break
            best = strip, tall
        return best

    @staticmethod
    def _tall(laid_out: Laid) -> float:
        """With a line more for every second box: what it is in the way of elsewhere."""
        return max(
            sum(slot.tall + (PITCH if isinstance(slot, Cell) else 0.0) for slot in slots)
            for slots in laid_out.columns
        ) + max(laid_out.bare(slots) for slots in laid_out.columns)

    def _columns(self) -> Iterator[Column]:
        marks = marks_of(self.picture)
        for level, keys in enumerate(levels(self.picture)):
            things = [self.picture.things[key] for key in keys]
            cells = [cell for thing in things for cell in cells_of(thing, marks, self.room)]
            most = self.room * (self.fill if len(cells) > 1 else 1.0)
            for number, places in enumerate(pieces([cell.tall + PITCH for cell in cells], most, APART)):
                yield Column(level, tuple(cells[place] for place in places), number > 0)


def with_words(pages: Sequence[Page], words: str) -> list[Page]:
    """Pages of which the same is said."""
    return [replace(page, words=words) for page in pages]
