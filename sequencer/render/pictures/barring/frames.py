"""The frames of boxes: told apart without colour, at half size too."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.document.barring.things import Standing
from sequencer.render.pictures.barring.scene import Rect, Stroke, frame_points

_CORNER = 7.0

TANK = 4.0
"""Points by which a fluid's box is taller than its words: its lower corners are cut off."""


def frame(look: Standing, rect: Rect) -> Iterator[Stroke]:
    """Thick: the aim. Full: comes off. Dashed: moved. Corners: opened. Round: work. Slanted: a fluid."""
    corners = frame_points(rect)
    match look:
        case Standing.AIM:
            yield Stroke(corners, 2.6, closed=True)
        case Standing.OFF:
            yield Stroke(corners, 1.0, closed=True)
        case Standing.MOVED:
            yield Stroke(corners, 1.0, dash="5 3", closed=True)
        case Standing.OPENED:
            yield from _corners_of(rect)
        case Standing.WORK:
            yield Stroke(corners, 1.0, closed=True, round=min(8.0, rect.tall / 2))
        case Standing.FLUID:
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
