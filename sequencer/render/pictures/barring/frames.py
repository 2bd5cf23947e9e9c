"""The frames of boxes: told apart without colour, at half size too."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.document.barring.things import Stage, Standing
from sequencer.render.pictures.barring.letters import width_of
from sequencer.render.pictures.barring.scene import Item, Rect, Stroke, Text, frame_points

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


def label(stage: Stage, x: float, y: float, size: float) -> Iterator[Item]:
    """How far a job is with a thing, in a word: white on black what is next, in a frame what is in hand.

    Nothing for other things. ``y`` is the middle of its line.
    """
    words = stage.shown
    if not words:
        return
    box = Rect(x, y - 0.58 * size, width_of(words, size, bold=True) + 4, 1.16 * size)
    yield Stroke(frame_points(box), 0.8, closed=True, filled=stage is Stage.NEXT)
    yield Text(x + 2, y + 0.34 * size, words, size, bold=True, light=stage is Stage.NEXT)


def label_wide(stage: Stage, size: float) -> float:
    """Points that a label and the gap after it take; 0 for none."""
    words = stage.shown
    return width_of(words, size, bold=True) + 8 if words else 0.0


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
