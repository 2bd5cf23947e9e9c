"""Plan and elevation of what a scan found, as SVG: one sheet 480 units wide, legible in black and white.

Each finding has a plan (from above, x to the right, y up) and an elevation (from the front, z up), one over
the other so that x runs alike in both. What moves is light with a bold rim and marked A, what is in its way
is hatched and marked B, the way itself is dashed, and where the two meet stands a cross in a ring. Colour
only repeats what these say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap
from xml.sax.saxutils import escape

import numpy as np

from sequencer.document.clean import clean
from sequencer.document.plans.scan_words import hit_words, path_words, waits_words
from sequencer.graph.geometry import Hit, Scan, Seen
from sequencer.graph.geometry.solids import Solid
from sequencer.graph.geometry.sweep import UNITS
from sequencer.graph.geometry.tooling import way_of
from sequencer.machine.facts.frame import WAYS, direction
from sequencer.machine.model import State
from sequencer.render.pictures.slices import sliced

MOST = 12
"""Findings that are drawn; the report lists the rest."""
WIDTH = 480.0
_MARGIN = 16.0
_TALLEST = 230.0
_LETTERS = 70
"""Letters of size 11.5 to a line, at 0.55 of the size each."""
_MOST_BOXES = 150
_SMALL = 36.0
_VIEWS = (("From above: x to the right, y up", 0, 1), ("From the front: x to the right, z up", 0, 2))

_HEAD = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}"
 style="max-width:100%;height:auto" font-family="sans-serif">
<title>{title}</title>
<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<rect width="6" height="6" fill="#fff3e6"/><line y2="6" stroke="#8a4b00" stroke-width="1.6"/></pattern></defs>
<rect width="{width}" height="{height}" fill="white"/>"""


@dataclass(frozen=True)
class _Scene:
    """One finding in the frame, in mm: corners of boxes as rows of low x, y, z, high x, y, z."""

    mover: np.ndarray
    swept: np.ndarray
    spots: np.ndarray
    circle: float
    axis: int
    obstacle: np.ndarray
    context: np.ndarray


def scan_picture(scan: Scan) -> str:
    """The sheet for a scan as SVG text; without a finding, all that is placed."""
    pieces: list[str] = []
    top = 14.0
    title = f"{clean(scan.machine.name)}: seen and not written"
    for line in wrap(title, 50):
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
    scene = _scene(scan, seen, hit)
    pieces = [f'<line x1="{_MARGIN}" y1="{top:.1f}" x2="{WIDTH - _MARGIN}" y2="{top:.1f}" stroke="#999"/>']
    for line in wrap(f"{number}.  {waits_words(seen, scan.machine)}", 60):
        top += 17
        pieces.append(_text(_MARGIN, top, line, 12.5, bold=True))
    moves = f"{path_words(scan.machine, seen.holder)}{' with what rides along' if hit.rider else ''}"
    key = f"A: {moves}. B: {path_words(scan.machine, hit.obstacle)}. "
    for line in wrap(f"{key}Here {hit_words(scan.machine, hit)}.", _LETTERS):
        top += 15
        pieces.append(_text(_MARGIN, top, line, 11.5))
    window = _window(scene)
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


def _scene(scan: Scan, seen: Seen, hit: Hit) -> _Scene:
    room = scan.room
    everything = {solid.path: _rows(solid) for solid in room.all}
    obstacle = everything[hit.obstacle]
    others = [rows for path, rows in everything.items() if path not in (hit.obstacle, seen.part, hit.rider)]
    body = np.concatenate([everything.get(part, np.empty((0, 6))) for part in (seen.part, hit.rider)])
    mover, swept = body, np.empty((0, 6))
    spots, circle, axis = np.empty((0, 6)), 0.0, 2
    if seen.joint is not None:
        joint = scan.machine.joint(seen.part, seen.joint)
        axis, sign = way_of(hit.way)
        length = {"reach": joint.reach, "draw": joint.draw, "swing": joint.reach}[hit.what] or 0
        points = np.array([[float(along) for along in spot] for spot in joint.spots])
        tips = points.copy()
        tips[:, axis] += sign * float(length)
        spots = np.hstack([points, tips])
        circle = float(joint.swing or 0) if hit.what == "swing" else 0.0
    elif hit.what == "out":
        swept = _swept(body, hit.way.rpartition("then ")[2], obstacle)
    else:
        by = np.array(room.bodies[seen.part].moved[State[hit.what.upper()]]) / UNITS
        moved = body + np.tile(by, 2)
        swept = np.hstack([np.minimum(body, moved)[:, :3], np.maximum(body, moved)[:, 3:]])
    return _Scene(mover, swept, spots, circle, axis, obstacle, np.concatenate([np.empty((0, 6)), *others]))


def _swept(body: np.ndarray, way: str, obstacle: np.ndarray) -> np.ndarray:
    """What a body sweeps on its way out, to beyond what it runs into; on a slant in steps."""
    if way not in WAYS:
        ahead = np.array([float(part) for part in direction(way)])
        ahead /= np.linalg.norm(ahead)
        middles = (rows.reshape(-1, 3).mean(axis=0) for rows in (obstacle, body))
        far = float(np.linalg.norm(np.subtract(*middles)))
        return np.concatenate([body + np.tile(ahead * far * step / 4, 2) for step in range(1, 6)])
    axis, sign = way_of(way)
    swept = body.copy()
    end = obstacle[:, 3 + axis].max() if sign > 0 else obstacle[:, axis].min()
    reach = max(60.0, (body[:, 3 + axis] - body[:, axis]).max() * 0.3)
    if sign > 0:
        swept[:, 3 + axis] = np.maximum(swept[:, 3 + axis], end + reach)
    else:
        swept[:, axis] = np.minimum(swept[:, axis], end - reach)
    return swept


def _rows(solid: Solid) -> np.ndarray:
    """The boxes in mm; of very many, the one box around them all; of a shape, the boxes around its slices."""
    if solid.shape is not None:
        return sliced(solid.shape.triangles)
    low, high = solid.low / UNITS, solid.high / UNITS
    if len(low) > _MOST_BOXES:
        low, high = low.min(axis=0, keepdims=True), high.max(axis=0, keepdims=True)
    return np.hstack([low, high])


def _window(scene: _Scene) -> tuple[np.ndarray, np.ndarray]:
    """What of the frame is shown: all that moves and is in the way, and some of what is around."""
    shown = [scene.mover, scene.swept, scene.obstacle]
    if len(scene.spots):
        ends = scene.spots.reshape(-1, 3)
        shown = [np.hstack([ends - scene.circle, ends + scene.circle]), scene.obstacle]
    rows = np.concatenate(shown)
    low, high = rows[:, :3].min(axis=0), rows[:, 3:].max(axis=0)
    margin = max(20.0, float((high - low).max()) * 0.12)
    return low - margin, high + margin


class _View:
    """One view on the sheet: from mm of the frame to units of the sheet."""

    def __init__(self, window: tuple[np.ndarray, np.ndarray], across: int, up: int, top: float) -> None:
        low, high = window
        self.across, self.up, self.top = across, up, top
        self.low = float(low[across]), float(low[up])
        size = float(high[across] - low[across]), float(high[up] - low[up])
        tallest = float((high - low)[1:].max())  # of both views: they are drawn to one scale
        self.scale = min((WIDTH - 2 * _MARGIN) / size[0], _TALLEST / tallest)
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


def _draw(view: _View, scene: _Scene) -> Iterator[str]:
    for row in scene.context:
        yield view.rect(row, 'fill="none" stroke="#aaa" stroke-width="0.6"')
    for row in scene.mover:
        yield view.rect(row, 'fill="#dce9f5" stroke="black" stroke-width="1.6"')
    for row in scene.swept:
        yield view.rect(row, 'fill="none" stroke="#1f4e79" stroke-width="1.2" stroke-dasharray="5 3"')
    for row in scene.obstacle:
        yield view.rect(row, 'fill="url(#hatch)" stroke="black" stroke-width="1.6"')
    yield from _tool(view, scene)
    meeting = _meeting(scene)
    if meeting is not None:
        yield _cross(*view.middle(meeting[1]))
    if len(scene.spots):
        yield _letter("A", *_beside(view, scene.spots[meeting[0] if meeting else 0]))
    else:
        yield _letter("A", *_corner(view, scene.mover, low=True))
    yield _letter("B", *_corner(view, scene.obstacle))


def _tool(view: _View, scene: _Scene) -> Iterator[str]:
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


def _meeting(scene: _Scene) -> tuple[int, np.ndarray] | None:
    """The first box or fastener that meets what is in the way, and the room that the two have in common."""
    ways = scene.swept
    if len(scene.spots):
        ends = scene.spots.reshape(-1, 2, 3)
        wide = np.where(np.arange(3) == scene.axis, 0.0, max(scene.circle, 0.01))
        ways = np.hstack([ends.min(axis=1) - wide, ends.max(axis=1) + wide])
    for number, way in enumerate(ways):
        for other in scene.obstacle:
            low, high = np.maximum(way[:3], other[:3]), np.minimum(way[3:], other[3:])
            if (low <= high).all():
                return number, np.concatenate([low, high])
    return None


def _corner(view: _View, rows: np.ndarray, *, low: bool = False) -> tuple[float, float]:
    """A place inside the upper left of the largest box, or the lower left."""
    area = (rows[:, 3 + view.across] - rows[:, view.across]) * (rows[:, 3 + view.up] - rows[:, view.up])
    row = rows[int(area.argmax())]
    x, y = view.point(float(row[view.across]), float(row[view.up if low else 3 + view.up]))
    if float(row[3 + view.across] - row[view.across]) * view.scale < _SMALL:
        x = view.point(float(row[3 + view.across]), 0)[0]  # a letter would hide it: beside it, then
    return x + 9, y - 9 if low else y + 9


def _beside(view: _View, row: np.ndarray) -> tuple[float, float]:
    x, y = view.point(float(row[view.across]), float(row[view.up]))
    return x - 13, y + 10


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
    rows = [_rows(body) for body in bodies]
    whole = np.concatenate(rows)
    low, high = whole[:, :3].min(axis=0), whole[:, 3:].max(axis=0)
    window = low - 20, high + 20
    for label, across, up in _VIEWS:
        top += 17
        pieces.append(_text(_MARGIN, top, label, 10.5))
        view = _View(window, across, up, top + 5)
        for boxes in rows:
            pieces += [view.rect(row, 'fill="none" stroke="black" stroke-width="0.7"') for row in boxes]
        taken: list[tuple[float, float]] = []
        for number, boxes in enumerate(rows, start=1):
            x, y = _free(taken, *view.middle(boxes[0]))
            pieces.append(_text(x, y + 3, str(number), 9, middle=True))
        pieces.append(view.frame(f"c0{up}"))
        top = view.bottom
    names = (f"{n} {path_words(scan.machine, body.path)}" for n, body in enumerate(bodies, start=1))
    for line in wrap(" · ".join(name.replace(" ", "\N{NO-BREAK SPACE}") for name in names), 74):
        top += 14
        pieces.append(_text(_MARGIN, top, line, 10.5))
    return pieces, top


def _free(taken: list[tuple[float, float]], x: float, y: float) -> tuple[float, float]:
    """The nearest place below that no number stands on yet."""
    while any(abs(x - a) < 11 and abs(y - b) < 9 for a, b in taken):
        y += 9
    taken.append((x, y))
    return x, y


def _text(x: float, y: float, words: str, size: float, *, bold: bool = False, middle: bool = False) -> str:
    style = ' font-weight="bold"' if bold else ""
    style += ' text-anchor="middle"' if middle else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}"{style}>{escape(words)}</text>'
