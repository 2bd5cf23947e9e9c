"""The frames of boxes: told apart without colour, at half size too."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.document.barring.things import Look
from sequencer.render.pictures.barring.scene import Rect, Stroke, frame_points

_CORNER = 7.0


def frame(look: Look, rect: Rect) -> Iterator[Stroke]:
    """Thick: the aim. Full: comes off. Dashes: only moved. Corners: only opened. Round: work. Slanted: a fluid."""
    corners = frame_points(rect)
    match look:
        case Look.AIM:
            yield Stroke(corners, 2.6, closed=True)
        case Look.OFF:
            yield Stroke(corners, 1.0, closed=True)
        case Look.MOVED:
            yield Stroke(corners, 1.0, dash="5 3", closed=True)
        case Look.OPENED:
            yield from _corners_of(rect)
        case Look.WORK:
            yield Stroke(corners, 1.0, closed=True, round=min(8.0, rect.tall / 2))
        case Look.FLUID:
            yield Stroke(_tank(rect), 1.0, closed=True)


def _corners_of(rect: Rect) -> Iterator[Stroke]:
    size = min(_CORNER, rect.tall / 3)
    for (x, y), dx, dy in zip(frame_points(rect), (1, -1, -1, 1), (1, 1, -1, -1), strict=True):
        yield Stroke(((x + dx * size, y), (x, y), (x, y + dy * size)), 1.0)


def _tank(rect: Rect) -> tuple[tuple[float, float], ...]:
    cut = min(_CORNER, rect.tall / 3)
    return (
        (rect.x, rect.y),
        (rect.right, rect.y),
        (rect.right, rect.bottom - cut),
        (rect.right - cut, rect.bottom),
        (rect.x + cut, rect.bottom),
        (rect.x, rect.bottom - cut),
    )
