"""A picture cut into pages by levels: columns side by side in a strip, strips under each other on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from sequencer.document.barring.things import Barring, Boxed
from sequencer.document.clean import clean
from sequencer.render.pictures.barring.cells import PITCH, SIZE, BoxLine, ThingBox, cells_of
from sequencer.render.pictures.barring.legend import entries, laid, marks_of
from sequencer.render.pictures.barring.letters import width_of, wrapped
from sequencer.render.pictures.barring.levels import edges, levels, pieces
from sequencer.render.pictures.barring.routes import APART, NARROWEST, Laid

MARGIN = 3.0
TITLE = 12.0
HEADING = PITCH + 4
"""Points that the words over columns take."""

BETWEEN = 10.0
"""Points between two strips."""

LEAD = "Before anything else"
INSET = 8.0

MANY = 8
"""Pages from which on it is not tried to save one by filling columns less."""

FILLS = (1.0, 0.8, 0.62)
"""How full columns are at first: fuller ones leave less room for lines that pass."""


@dataclass(frozen=True)
class Format:
    """How large a page may be, in points, and whether it has its title on it."""

    wide: float
    tall: float
    titled: bool = True


# On a sheet of A4 or letter paper there are 742 by 540 points for a drawing, upright or on its side. The
# larger pages are shrunk to that, and their smallest letters to just over 7 points.
_SIZES = ((742.0, 536.0), (536.0, 742.0), (858.0, 620.0), (620.0, 858.0))
SCREEN = tuple(Format(*size) for size in _SIZES)
PAPER = tuple(Format(*size, titled=False) for size in _SIZES)
WHOLE = (Format(float("inf"), 700.0),)
"""One page, however wide, for a surface that can be panned."""


@dataclass(frozen=True)
class Column:
    """Boxes under each other; ``level`` is how many steps out they stand."""

    level: int
    cells: tuple[ThingBox, ...]
    goes_on: bool

    @property
    def wide(self) -> float:
        """Points of its widest box."""
        return max(cell.wide for cell in self.cells)


@dataclass(frozen=True)
class Strip:
    """Columns side by side."""

    columns: tuple[Column, ...]

    @property
    def cells(self) -> tuple[ThingBox, ...]:
        """All its boxes."""
        return tuple(cell for column in self.columns for cell in column.cells)

    @property
    def keys(self) -> set[str]:
        """The things on it."""
        return {cell.thing.key for cell in self.cells}

    def laid(self) -> Laid:
        """Its boxes and lines."""
        return Laid([column.cells for column in self.columns])


@dataclass(frozen=True)
class Page:
    """Strips under each other; ``words`` is what is said of the page beside the title."""

    strips: tuple[Strip, ...]
    form: Format
    words: str = ""

    @property
    def cells(self) -> tuple[ThingBox, ...]:
        """All its boxes."""
        return tuple(cell for strip in self.strips for cell in strip.cells)


def cut_up(
    picture: Barring,
    formats: Sequence[Format],
    words: str = "",
    less: float = 0.0,
    steps: frozenset[int] | None = None,
) -> list[Page]:
    """As few pages as it takes, the aim on the first, in the first format that needs no more than any other.

    ``words`` is what is said of each; ``less`` are points of its height that are left free; with ``steps``
    only what is worked on in these steps of the plan is on them, as many steps out as in the whole picture.
    """
    best: list[Page] = []
    for form in formats:
        for fill in FILLS:
            if not best or len(best) > 1:
                pages = _Cutting(picture, form, fill, less, steps).pages(words)
                best = pages if not best or len(pages) < len(best) else best
            if len(best) > MANY:
                break
    return best


def first_lines(picture: Barring, wide: float) -> list[str]:
    """What comes before everything else, in lines of a strip that is so wide."""
    if not picture.first:
        return []
    words = "; ".join(_first(thing) for thing in picture.first)
    return wrapped(words, wide - 2 * MARGIN - 2 * INSET - lead_wide(), SIZE)


def _first(thing: Boxed) -> str:
    told = thing.stage.shown or thing.told
    return f"{thing.number} {clean(thing.words)}{f' ({told})' if told else ''}".strip()


def lead_wide() -> float:
    """Points of the words before that."""
    return width_of(LEAD, SIZE, bold=True) + INSET


class _Cutting:
    def __init__(
        self, picture: Barring, form: Format, fill: float, less: float, steps: frozenset[int] | None
    ) -> None:
        self.picture, self.form, self.fill, self.less, self.steps = picture, form, fill, less, steps
        self.waiting: dict[str, set[str]] = {}
        for source, waiting in edges(picture.things):
            self.waiting.setdefault(source, set()).add(waiting)

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
        return (
            form.tall
            - self.less
            - 2 * MARGIN
            - legend
            - 9
            - (top if form.titled else PITCH + 3)
            - strip
            - HEADING
        )

    def pages(self, words: str) -> list[Page]:
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
        return [Page(tuple(one), self.form, words) for one in found]

    def _longest(self, columns: Sequence[Column]) -> tuple[Strip, float]:
        """As many columns as fit side by side, and how tall they are."""
        count, wide = 1, columns[0].wide
        while count < len(columns) and wide + NARROWEST + columns[count].wide <= self.form.wide - 2 * MARGIN:
            wide += NARROWEST + columns[count].wide
            count += 1
        while True:
            strip = Strip(tuple(columns[:count]))
            for cell in strip.cells:  # a line more where it is in the way of something elsewhere
                elsewhere = not self.waiting.get(cell.thing.key, set()) <= strip.keys
                cell.below = [BoxLine("for")] if elsewhere and not cell.goes_on else []
            laid_out = strip.laid()
            fits = laid_out.wide <= self.form.wide - 2 * MARGIN and laid_out.tall <= self.room
            if fits or count == 1:
                return strip, laid_out.tall
            count -= 1

    def _wanted(self, thing: Boxed) -> bool:
        return self.steps is None or not self.steps.isdisjoint(thing.steps)

    def _columns(self) -> Iterator[Column]:
        marks = marks_of(self.picture)
        for level, keys in enumerate(levels(self.picture)):
            things = [one for one in map(self.picture.things.__getitem__, keys) if self._wanted(one)]
            cells = [cell for thing in things for cell in cells_of(thing, marks, self.room)]
            most = self.room * (self.fill if len(cells) > 1 else 1.0)
            for number, places in enumerate(pieces([cell.tall + PITCH for cell in cells], most, APART)):
                yield Column(level, tuple(cells[place] for place in places), number > 0)
