"""A numbered picture of a joint: where its bolts sit, and in which order they are tightened. Plain SVG text."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape

from sequencer.torque.order import BoltOrder, Point

_SIZE = 320.0
_MARGIN = 34.0
_TEXT = 'font-family="sans-serif" fill="black"'


def order_picture(order: BoltOrder, title: str = "", *, loosening: bool = False) -> str:
    """An SVG picture of ``order``, legible in black and white, about 320 units wide.

    Each bolt is a circle with its place in the tightening order (or, with ``loosening``, the loosening
    order) as the large number; where the bolts have labels of their own, the label stands small beside it.
    The first bolt has a double rim. The line under the picture says whose order it is.
    """
    sequence = order.loosen if loosening and order.loosen else order.tighten
    rank = {label: place for place, label in enumerate(sequence, start=1)}
    points, radius, height = _fit(order.at)
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (points[order.labels.index(label)] for label in sequence))
    kind = "Loosening order" if sequence is order.loosen else "Tightening order"
    head = f"{title}: {kind.lower()}" if title else kind
    top = 26.0
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_SIZE:g} {height + top + 24:g}" role="img">',
        f"<title>{escape(head)}</title>",
        f'<text x="{_SIZE / 2:g}" y="18" {_TEXT} font-size="14" text-anchor="middle">{escape(head)}</text>',
        f'<g transform="translate(0 {top:g})">',
        f'<polyline points="{path}" fill="none" stroke="black" stroke-width="0.6" stroke-dasharray="2 3"/>',
    ]
    for label, point in zip(order.labels, points, strict=True):
        lines += _bolt(label, rank[label], point, radius)
    lines += ["</g>", _foot(order, height + top + 14), "</svg>"]
    return "\n".join(lines) + "\n"


def _fit(at: Sequence[Point]) -> tuple[list[Point], float, float]:
    """Positions on the sheet (y down), the radius of a bolt's circle, and the height of the drawing."""
    left, low = min(x for x, _ in at), min(y for _, y in at)
    width, tall = max(x for x, _ in at) - left, max(y for _, y in at) - low
    room = _SIZE - 2 * _MARGIN
    scale = room / max(width, tall, 1e-9) if max(width, tall) > 0 else 1.0
    across = (room - width * scale) / 2
    points = [(_MARGIN + across + (x - left) * scale, _MARGIN + (low + tall - y) * scale) for x, y in at]
    nearest = min((math.dist(a, b) for i, a in enumerate(points) for b in points[:i]), default=room)
    return points, max(5.0, min(16.0, 0.42 * nearest)), tall * scale + 2 * _MARGIN


def _bolt(label: str, rank: int, point: Point, radius: float) -> list[str]:
    x, y = point
    lines = [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="white" stroke="black" stroke-width="1.4"/>',
        f'<text x="{x:.1f}" y="{y + radius * 0.38:.1f}" {_TEXT} font-size="{radius * 1.1:.1f}" font-weight="bold" '
        f'text-anchor="middle">{rank}</text>',
    ]
    if rank == 1:
        rim = radius + 2.5
        lines.insert(0, f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{rim:.1f}" fill="white" stroke="black"/>')
    if label != str(rank):
        lines.append(
            f'<text x="{x + radius * 0.8:.1f}" y="{y - radius * 0.9:.1f}" {_TEXT} font-size="8">{escape(label)}</text>'
        )
    return lines


def _foot(order: BoltOrder, y: float) -> str:
    words = order.mark[:1].upper() + order.mark[1:]
    return (
        f'<text x="{_SIZE / 2:g}" y="{y:g}" {_TEXT} font-size="8" text-anchor="middle" textLength="{_SIZE - 20:g}" '
        f'lengthAdjust="spacingAndGlyphs">{escape(words)}</text>'
        if len(words) > 70
        else f'<text x="{_SIZE / 2:g}" y="{y:g}" {_TEXT} font-size="8" text-anchor="middle">{escape(words)}</text>'
    )
