"""Plan and elevation of what a scan found, as SVG: one sheet 480 units wide, legible in black and white.

Each finding has a plan (from above, x to the right, y up) and an elevation (from the front, z up), one over
the other so that x runs alike in both. What moves is light with a bold rim and marked A, what is in its way
is hatched and marked B, the way itself is dashed, and where the two meet stands a cross in a ring. Colour
only repeats what these say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import inf
from xml.sax.saxutils import escape

import numpy as np

from sequencer.document.clean import clean
from sequencer.document.plans.scan_words import body_words, hit_words, waits_words
from sequencer.graph.geometry import Scan, Seen
from sequencer.render.pictures.barring.letters import width_of, wrapped
from sequencer.render.pictures.labels import LabelPlace, Labels
from sequencer.render.pictures.scan_scene import (
    ScanScene,
    meeting_of,
    rows_of,
    scene_of,
    window_around,
    window_of,
)

MOST = 12
"""Findings that are drawn; the report lists the rest."""
WIDTH = 480.0
_MARGIN = 16.0
_TALLEST = 230.0
_LINE = WIDTH - 2 * _MARGIN
_SMALL = 36.0
"""Boxes that are less wide or tall have their letter beside them: it would hide them."""
_BADGE = 16.0
_CROSS = 20.0
_NUMBER = 10.0
_VIEWS = (("From above: x to the right, y up", 0, 1), ("From the front: x to the right, z up", 0, 2))

_HEAD = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}"
 style="max-width:100%;height:auto" font-family="sans-serif">
<title>{title}</title>
<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<rect width="6" height="6" fill="#fff3e6"/><line y2="6" stroke="#8a4b00" stroke-width="1.6"/></pattern></defs>
<rect width="{width}" height="{height}" fill="white"/>"""


def scan_picture(scan: Scan) -> str:
    """The sheet for a scan as SVG text; without a finding, all that is placed."""
    pieces: list[str] = []
    top = 14.0
    title = f"{clean(scan.machine.name)}: seen and not written"
    for line in wrapped(title, _LINE, 15, bold=True):
        top += 18
        pieces.append(_text(_MARGIN, top, line, 15, bold=True))
    drawn = scan.hidden[:MOST]
    for number, seen in enumerate(drawn, start=1):
        more, top = _finding(scan, seen, number, top + 14)
        pieces += more
    if not drawn:
        more, top = _overview(scan, top + 14)
        pieces += more
    if len(scan.hidden) > len(drawn):
        top += 20
        pieces.append(_text(_MARGIN, top, f"{len(scan.hidden) - len(drawn)} more are in the report.", 11.5))
    return "\n".join(
        [
            _HEAD.format(width=f"{WIDTH:g}", height=f"{top + 18:.0f}", title=escape(title)),
            *pieces,
            "</svg>\n",
        ]
    )


def _finding(scan: Scan, seen: Seen, number: int, top: float) -> tuple[list[str], float]:
    hit = seen.hits[0]
    scene = scene_of(scan, seen, hit)
    pieces = [f'<line x1="{_MARGIN}" y1="{top:.1f}" x2="{WIDTH - _MARGIN}" y2="{top:.1f}" stroke="#999"/>']
    for line in wrapped(f"{number}. {waits_words(seen, scan.machine)}", _LINE, 12.5, bold=True):
        top += 17
        pieces.append(_text(_MARGIN, top, line, 12.5, bold=True))
    moves = f"{body_words(scan.machine, seen.holder)}{' with what rides along' if hit.rider else ''}"
    key = f"A: {moves}. B: {body_words(scan.machine, hit.obstacle)}. "
    for line in wrapped(f"{key}Here {hit_words(scan.machine, hit)}.", _LINE, 11.5):
        top += 15
        pieces.append(_text(_MARGIN, top, line, 11.5))
    window = window_of(scene)
    for label, across, up in _VIEWS:
        top += 17
        pieces.append(_text(_MARGIN, top, label, 10.5))
        view = _View(window, across, up, top + 5)
        pieces += [
            f'<g clip-path="url(#c{number}{up})">',
            *_draw(view, scene),
            "</g>",
            view.frame(f"c{number}{up}"),
        ]
        top = view.bottom
    return pieces, top


class _View:
    """One view on the sheet: from mm of the frame to units of the sheet."""

    def __init__(
        self, window: tuple[np.ndarray, np.ndarray], across: int, up: int, top: float, most: float = _TALLEST
    ) -> None:
        low, high = window
        self.across, self.up, self.top = across, up, top
        self.low = float(low[across]), float(low[up])
        size = float(high[across] - low[across]), float(high[up] - low[up])
        tallest = float((high - low)[1:].max())  # of both views: they are drawn to one scale
        self.scale = min((WIDTH - 2 * _MARGIN) / size[0], most / tallest)
        self.size = size[0] * self.scale, size[1] * self.scale
        self.bottom = top + self.size[1] + 4

    def point(self, x: float, y: float) -> tuple[float, float]:
        return (
            _MARGIN + (x - self.low[0]) * self.scale,
            self.top + self.size[1] - (y - self.low[1]) * self.scale,
        )

    def rect(self, row: np.ndarray, style: str) -> str:
        left, bottom = self.point(float(row[self.across]), float(row[self.up]))
        right, top = self.point(float(row[3 + self.across]), float(row[3 + self.up]))
        return (
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{max(right - left, 0.8):.1f}" '
            f'height="{max(bottom - top, 0.8):.1f}" {style}/>'
        )

    def labels(self) -> Labels:
        """The room that labels have in it."""
        return Labels(_MARGIN, self.top, _MARGIN + self.size[0], self.top + self.size[1])

    def sides(self, row: np.ndarray) -> tuple[float, float]:
        """How wide and how tall a box is drawn."""
        wide, tall = row[3 + self.across] - row[self.across], row[3 + self.up] - row[self.up]
        return float(wide) * self.scale, float(tall) * self.scale

    def middle(self, row: np.ndarray) -> tuple[float, float]:
        return self.point(
            float(row[self.across] + row[3 + self.across]) / 2, float(row[self.up] + row[3 + self.up]) / 2
        )

    def frame(self, name: str) -> str:
        box = f'x="{_MARGIN}" y="{self.top:.1f}" width="{self.size[0]:.1f}" height="{self.size[1]:.1f}"'
        return (
            f'<clipPath id="{name}"><rect {box}/></clipPath>'
            f'<rect {box} fill="none" stroke="#999" stroke-width="0.8"/>'
        )


def _draw(view: _View, scene: ScanScene) -> Iterator[str]:
    for row in scene.context:
        yield view.rect(row, 'fill="none" stroke="#aaa" stroke-width="0.6"')
    for row in scene.mover:
        yield view.rect(row, 'fill="#dce9f5" stroke="black" stroke-width="1.6"')
    for row in scene.swept:
        yield view.rect(row, 'fill="none" stroke="#1f4e79" stroke-width="1.2" stroke-dasharray="5 3"')
    for row in scene.obstacle:
        yield view.rect(row, 'fill="url(#hatch)" stroke="black" stroke-width="1.6"')
    yield from _tool(view, scene)
    meeting = meeting_of(scene)
    if meeting is not None:
        yield _cross(*view.middle(meeting[1]))
    yield from _lettered(view, scene, meeting)


def _lettered(view: _View, scene: ScanScene, meeting: tuple[int, np.ndarray] | None) -> Iterator[str]:
    """An A at what moves and a B at what is in its way, with a leader where the letter would hide it."""
    labels = view.labels()
    x, y = (inf, inf) if meeting is None else view.middle(meeting[1])
    if meeting is not None:
        labels.keep_clear(x, y, _CROSS, _CROSS)
    if len(scene.spots):
        spots = [view.point(float(row[view.across]), float(row[view.up])) for row in scene.spots]
        for spot in spots:
            labels.keep_clear(*spot, 6, 6)
        moving = [spots[meeting[0] if meeting else 0]]
    else:
        moving = _in_sight(view, labels, scene.mover)[::-1]
    for letter, anchors in (("A", moving), ("B", _in_sight(view, labels, scene.obstacle))):
        seen = sorted(anchors, key=lambda at: max(abs(at[0] - x), abs(at[1] - y)) < _CROSS / 2)
        if label := labels.place(seen, _BADGE, _BADGE):
            yield f"{_leader(label)}{_letter(letter, label.x, label.y)}"


def _tool(view: _View, scene: ScanScene) -> Iterator[str]:
    """The way of a tool or a fastener, and the circle of a handle: from its edge a line."""
    for row in scene.spots:
        x, y = view.point(float(row[view.across]), float(row[view.up]))
        u, v = view.point(float(row[3 + view.across]), float(row[3 + view.up]))
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>'
        line = 'stroke="#1f4e79" stroke-width="2.2" stroke-dasharray="5 3"'
        yield f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{u:.1f}" y2="{v:.1f}" {line}/>'
        r = scene.circle * view.scale
        if r and scene.axis in (view.across, view.up):
            dx, dy = (r, 0.0) if scene.axis == view.up else (0.0, r)
            yield f'<line x1="{u - dx:.1f}" y1="{v - dy:.1f}" x2="{u + dx:.1f}" y2="{v + dy:.1f}" {line}/>'
        elif r:
            yield f'<circle cx="{u:.1f}" cy="{v:.1f}" r="{r:.1f}" fill="none" {line}/>'


def _in_sight(view: _View, labels: Labels, rows: np.ndarray) -> list[tuple[float, float]]:
    """Where a letter names the largest box best: in a corner, the upper left first; if small, beside it."""
    row = max(rows, key=lambda one: float(np.prod(view.sides(one))))
    x, y = view.middle(row)
    wide, tall = view.sides(row)
    if small := min(wide, tall) < _SMALL:
        labels.keep_clear(x, y, wide, tall)
    inset = 1.0 if small else 10.0
    dx, dy = wide / 2 - inset, tall / 2 - inset
    return [(x + a * dx, y + b * dy) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]


def _leader(label: LabelPlace) -> str:
    """From a label to its thing."""
    if label.leader is None:
        return ""
    (x, y), (u, v) = label.leader
    return (
        f'<line class="leader" x1="{x:.1f}" y1="{y:.1f}" x2="{u:.1f}" y2="{v:.1f}" stroke="black"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.6"/>'
    )


def _letter(letter: str, x: float, y: float) -> str:
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="7.5" fill="white" stroke="black"/>'
        f'<text x="{x:.1f}" y="{y + 4:.1f}" font-size="11" font-weight="bold" text-anchor="middle">'
        f"{letter}</text>"
    )


def _cross(x: float, y: float) -> str:
    lines = "".join(
        f'<line x1="{x - 6:.1f}" y1="{y - s * 6:.1f}" x2="{x + 6:.1f}" y2="{y + s * 6:.1f}"/>'
        for s in (1, -1)
    )
    ring = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="10" fill="white" fill-opacity="0.7"/>'
    return f'<g stroke="#b00020" stroke-width="2.6">{ring}{lines}</g>'


def _overview(scan: Scan, top: float) -> tuple[list[str], float]:
    """Nothing hidden: all that is placed, numbered, with the names below."""
    pieces = [_text(_MARGIN, top + 12, "Nothing: what the boxes show is written, or follows.", 11.5)]
    top += 18
    bodies = list(scan.room.bodies.values())
    if not bodies:
        return pieces, top
    rows = [rows_of(body) for body in bodies]
    window = window_around(np.concatenate(rows), 0.06)
    shown: set[int] = set()
    for label, across, up in _VIEWS:
        top += 17
        pieces.append(_text(_MARGIN, top, label, 10.5))
        view = _View(window, across, up, top + 5, 1.6 * _TALLEST)
        for boxes in rows:
            pieces += [view.rect(row, 'fill="none" stroke="black" stroke-width="0.7"') for row in boxes]
        pieces += [*_numbers(view, rows, shown), view.frame(f"c0{up}")]
        top = view.bottom
    names = dict(enumerate((body_words(scan.machine, body.path) for body in bodies), start=1))
    told = [*_listed(f"{number} {names[number]}" for number in names if number in shown)]
    if missing := [name for number, name in names.items() if number not in shown]:
        told += _listed([f"No room for a number: {missing[0]}", *missing[1:]])
    for line in told:
        top += 14
        pieces.append(_text(_MARGIN, top, line, 10.5))
    return pieces, top


def _numbers(view: _View, rows: list[np.ndarray], shown: set[int]) -> Iterator[str]:
    """A number at each thing, the smallest first, for they have the fewest places; ``shown`` learns which."""
    labels = view.labels()
    largest = [max(boxes, key=lambda row: float(np.prod(view.sides(row)))) for boxes in rows]
    for place in sorted(range(len(rows)), key=lambda place: float(np.prod(view.sides(largest[place])))):
        number = str(place + 1)
        wide = width_of(number, _NUMBER) + 2
        (x, y), (dx, dy) = view.middle(largest[place]), view.sides(largest[place])
        spread = [(x + a * dx / 3, y + b * dy / 3) for a in (0, -1, 1) for b in (0, -1, 1)]
        label = labels.place(spread, wide, _NUMBER, 6)
        if label is not None:
            shown.add(place + 1)
            box = f'x="{label.x - wide / 2:.1f}" y="{label.y - _NUMBER / 2:.1f}" width="{wide:.1f}"'
            yield _leader(label)
            yield f'<rect {box} height="{_NUMBER:g}" fill="white"/>'
            yield _text(label.x, label.y + 0.36 * _NUMBER, number, _NUMBER, middle=True)


def _listed(names: Iterable[str]) -> Iterator[str]:
    """Names one after the other in lines; none is broken that has room on a line of its own."""
    line = ""
    for name in names:
        longer = f"{line} · {name}" if line else name
        if width_of(longer, 10.5) <= _LINE:
            line = longer
            continue
        if line:
            yield line
        *whole, line = wrapped(name, _LINE, 10.5)
        yield from whole
    yield line


def _text(x: float, y: float, words: str, size: float, *, bold: bool = False, middle: bool = False) -> str:
    style = ' font-weight="bold"' if bold else ""
    style += ' text-anchor="middle"' if middle else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}"{style}>{escape(words)}</text>'
