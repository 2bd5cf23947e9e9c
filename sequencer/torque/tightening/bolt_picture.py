"""A numbered picture of a joint: where its bolts sit, and the order of tightening them. Plain SVG text."""

from __future__ import annotations

import math
from collections.abc import Sequence
from textwrap import wrap
from xml.sax.saxutils import escape

from sequencer.torque.tightening.bolt_order import BoltOrder, Point
from sequencer.wording import capital

_WIDTH = 320.0
_MARGIN = 34.0
_HEAD = 26.0
_SMALL, _PITCH = 11.0, 14.0
"""Size of the words under the picture, and from line to line."""
_LETTERS = 45
"""Letters of that size to a line: 0.6 of the size each at the widest, with the margins."""
_KEY = "Large: the order. Small: the bolt as it is listed."


def order_picture(order: BoltOrder, title: str = "", *, loosening: bool = False) -> str:
    """An SVG picture of ``order``, legible in black and white, 320 units wide.

    Each bolt is a circle with its place in the tightening order as its one number, also with ``loosening``,
    which goes from the highest number down; a name that the maker gives it stands small above it. The first
    bolt has a double rim, and a dotted line leads from bolt to bolt. The line under the picture says whose
    order it is.
    """
    slackening = loosening and bool(order.loosen)
    sequence = order.loosen if slackening else order.tighten
    points, radius, height = _fit(order.at)
    where = dict(zip(order.labels, points, strict=True))
    kind = f"loosening order, from {len(sequence)} down to 1" if slackening else "tightening order"
    head = f"{title}: {kind}" if title else capital(kind)
    named = any(label != str(rank) for rank, label in enumerate(order.tighten, start=1))
    bolts = [
        _bolt(label if named else None, rank, where[label], radius, first=label == sequence[0])
        for rank, label in enumerate(order.tighten, start=1)
    ]
    mark = order.loosening_mark if slackening else order.mark
    foot = [*wrap(capital(mark), _LETTERS), *(wrap(_KEY, _LETTERS) if named else [])]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (where[label] for label in sequence))
    whole = f"0 0 {_WIDTH:g} {height + 4 + _PITCH * len(foot):g}"
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{whole}">',
            f"<title>{escape(head)}</title>",
            _text(_WIDTH / 2, 18, head, min(14.0, (_WIDTH - 20) / (0.6 * len(head)))),
            f'<polyline points="{path}" fill="none" stroke="black" stroke-dasharray="1 3"/>',
            *bolts,
            *(
                _text(_WIDTH / 2, height + 8 + _PITCH * number, line, _SMALL)
                for number, line in enumerate(foot)
            ),
            "</svg>\n",
        ]
    )


def _fit(at: Sequence[Point]) -> tuple[list[Point], float, float]:
    """Positions on the sheet (y down), the radius of a bolt's circle, and where the drawing ends."""
    left, low = min(x for x, _ in at), min(y for _, y in at)
    width, tall = max(x for x, _ in at) - left, max(y for _, y in at) - low
    room = _WIDTH - 2 * _MARGIN
    scale = room / max(width, tall) if max(width, tall) > 0 else 1.0
    indent = _MARGIN + (room - width * scale) / 2
    top = _HEAD + _MARGIN
    points = [(indent + (x - left) * scale, top + (low + tall - y) * scale) for x, y in at]
    nearest = min((math.dist(a, b) for i, a in enumerate(points) for b in points[:i]), default=room)
    return points, max(5.0, min(16.0, 0.42 * nearest)), top + tall * scale + _MARGIN


def _bolt(label: str | None, rank: int, point: Point, radius: float, *, first: bool) -> str:
    x, y = point
    rims = [radius + 2.5, radius] if first else [radius]
    pieces = [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{rim:.1f}" fill="white" stroke="black"/>' for rim in rims
    ]
    pieces.append(_text(x, y + radius * 0.38, str(rank), radius * 1.1, bold=True))
    if label is not None:
        pieces.append(_text(x, y - radius - 5, label, max(8.0, min(_SMALL, radius)), halo=True))
    return "\n".join([f'<g class="bolt" data-rank="{rank}">', *pieces, "</g>"])


def _text(x: float, y: float, words: str, size: float, *, bold: bool = False, halo: bool = False) -> str:
    """Words centred on x; a ``halo`` keeps them legible across a line."""
    weight = ' font-weight="bold"' if bold else ""
    edge = ' stroke="white" stroke-width="3" paint-order="stroke"' if halo else ""
    style = f'font-family="sans-serif" font-size="{size:.1f}" text-anchor="middle"{weight}{edge}'
    return f'<text x="{x:.1f}" y="{y:.1f}" {style}>{escape(words)}</text>'
