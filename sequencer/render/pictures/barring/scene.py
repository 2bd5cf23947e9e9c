"""What stands on a page of a picture, in points from its upper left; written out as plain SVG, black only."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from xml.sax.saxutils import escape, quoteattr

from sequencer.document.bidi import kept_apart
from sequencer.render.pictures.barring.letters import width_of

FONT = "Helvetica, Arial, 'Liberation Sans', sans-serif"

Point = tuple[float, float]


@dataclass(frozen=True)
class Text:
    """Words on one line.

    Attributes:
        x: Where they begin; where they end, with ``end``.
        y: Their base line.
        words: As they are set.
        size: Of their letters.
        page: The number of a picture's page that the words name, where they do nothing else.
        light: White, on black.
    """

    x: float
    y: float
    words: str
    size: float
    bold: bool = False
    slanted: bool = False
    end: bool = False
    page: int | None = None
    light: bool = False

    @property
    def box(self) -> Rect:
        """The room that they take."""
        wide = width_of(self.words, self.size, bold=self.bold)
        return Rect(self.x - wide if self.end else self.x, self.y - 0.75 * self.size, wide, 0.95 * self.size)


@dataclass(frozen=True)
class Rect:
    """A rectangle."""

    x: float
    y: float
    wide: float
    tall: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.wide

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.tall

    def meets(self, other: Rect, slack: float = 0.0) -> bool:
        """Whether they share more than ``slack`` points both ways."""
        return (
            self.x < other.right - slack
            and other.x < self.right - slack
            and self.y < other.bottom - slack
            and other.y < self.bottom - slack
        )


@dataclass(frozen=True)
class Stroke:
    """A line through points; ``net`` is common to all lines that begin at one thing."""

    points: tuple[Point, ...]
    heavy: float = 0.8
    dash: str = ""
    closed: bool = False
    filled: bool = False
    net: str = ""
    round: float = 0.0
    """Of a rectangle's corners, as an SVG rect."""


@dataclass(frozen=True)
class Dot:
    """A small circle: full where a line branches off, hollow at the end of a way that was not taken."""

    x: float
    y: float
    radius: float
    filled: bool = True
    net: str = ""


Item = Text | Stroke | Dot


@dataclass
class Group:
    """What belongs to one box; ``key`` names its node."""

    key: str
    frame: Rect
    items: list[Item] = field(default_factory=list)


@dataclass
class Scene:
    """One page."""

    wide: float
    tall: float
    title: str
    items: list[Item] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)

    def everything(self) -> Iterator[Item]:
        """All that is drawn."""
        yield from self.items
        for group in self.groups:
            yield from group.items


def svg_of(scene: Scene) -> str:
    """A page as SVG text, with a group of class ``node`` and a title for each box."""
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(scene.wide)}pt" height="{_n(scene.tall)}pt"'
            f' viewBox="0 0 {_n(scene.wide)} {_n(scene.tall)}" font-family={quoteattr(FONT)}>'
        ),
        f"<title>{escape(kept_apart(scene.title))}</title>",
        f'<rect width="{_n(scene.wide)}" height="{_n(scene.tall)}" fill="white"/>',
        '<g class="graph">',
        *map(_item, scene.items),
    ]
    for number, group in enumerate(scene.groups, start=1):
        lines += [f'<g id="node{number}" class="node"><title>{escape(group.key)}</title>']
        lines += [*map(_item, group.items), "</g>"]
    return "\n".join([*lines, "</g>", "</svg>", ""])


def _item(item: Item) -> str:
    match item:
        case Text():
            return _text(item)
        case Dot():
            look = 'fill="black"' if item.filled else 'fill="white" stroke="black" stroke-width="0.8"'
            return f'<circle cx="{_n(item.x)}" cy="{_n(item.y)}" r="{_n(item.radius)}" {look}/>'
        case Stroke():
            return _stroke(item)


def _text(text: Text) -> str:
    looks = [
        ' font-weight="bold"' if text.bold else "",
        ' font-style="italic"' if text.slanted else "",
        f' text-anchor="{"end" if text.end else "start"}"',
        ' fill="white"' if text.light else "",
        f' data-page="{text.page}"' if text.page is not None else "",
    ]
    at = f'x="{_n(text.x)}" y="{_n(text.y)}" font-size="{_n(text.size)}"'
    return f"<text {at}{''.join(looks)}>{escape(kept_apart(text.words))}</text>"


def _stroke(stroke: Stroke) -> str:
    dash = f' stroke-dasharray="{stroke.dash}"' if stroke.dash else ""
    inside = "black" if stroke.filled else "none"
    look = f'fill="{inside}" stroke="black" stroke-width="{_n(stroke.heavy)}"{dash}'
    if stroke.round:
        (x, y), _, (right, bottom), *_ = stroke.points
        size = f'width="{_n(right - x)}" height="{_n(bottom - y)}" rx="{_n(stroke.round)}"'
        return f'<rect x="{_n(x)}" y="{_n(y)}" {size} {look}/>'
    places = " ".join(f"{_n(x)},{_n(y)}" for x, y in stroke.points)
    return f'<{"polygon" if stroke.closed else "polyline"} points="{places}" {look}/>'


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")


def frame_points(rect: Rect) -> tuple[Point, ...]:
    """The corners of a rectangle, clockwise from the upper left."""
    return (rect.x, rect.y), (rect.right, rect.y), (rect.right, rect.bottom), (rect.x, rect.bottom)


def shifted(points: Sequence[Point], dx: float, dy: float) -> tuple[Point, ...]:
    """Points moved."""
    return tuple((x + dx, y + dy) for x, y in points)


def moved(items: Iterable[Item], dx: float, dy: float) -> Iterator[Item]:
    """The same elsewhere."""
    for item in items:
        if isinstance(item, Stroke):
            yield replace(item, points=shifted(item.points, dx, dy))
        else:
            yield replace(item, x=item.x + dx, y=item.y + dy)
