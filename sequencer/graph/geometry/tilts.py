"""A part that is tilted out from under something, and drawn off as it is then.

The line that it turns about lies along an axis of the frame: along it nothing changes, and across it each box
is a rectangle that turns. What that sweeps from one degree to the next, and what it sweeps on its way off,
are told from another box by a line between them (the separating axis theorem: Gottschalk, Lin & Manocha,
"OBBTree", SIGGRAPH 1996). From one degree to the next a corner leaves the straight by r (1 - cos ½°), a
fiftieth of a millimetre at half a metre. A shape from a file is taken for the box around it: a tilt that is
told is free.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from sequencer.graph.geometry.exits import Exit
from sequencer.graph.geometry.hits import Hit, Trial, hits_of
from sequencer.graph.geometry.planes import Floats
from sequencer.graph.geometry.solids import MEASURED_TO_MM, NOWHERE, Solid, Solids
from sequencer.graph.geometry.sweep import UNITS, Corners, Shift, touching
from sequencer.graph.geometry.tooling import way_of
from sequencer.machine.facts.frame import Tilt, direction
from sequencer.machine.model import Part

_HAIR_MM = 0.1
"""What overlaps by no more slides."""

_FAR_MM = 100_000.0
"""Beyond everything."""


def tilted(
    bodies: Sequence[Solid], part: Part, room: Solids, ways: Sequence[Exit], at: Shift = NOWHERE
) -> Iterator[tuple[Exit, list[Hit]]]:
    """Ways of leaving tilted, and what is in the way of each; ends with one that is free.

    Only what comes after the tilt may be barred: a part is tilted as far as there is room for it. Where there
    are shapes, only a way that is free is told.
    """
    tilt = part.tilt
    if tilt is None:
        return
    barred: dict[str, tuple[Exit, list[Hit]]] = {}
    before = 0.0
    for angle in (*range(1, math.ceil(tilt.by)), float(tilt.by)):
        turning = _trial("", bodies, _Move(tilt, at, (before, angle)))
        if any(hits_of(turning, part.name, None, room)):
            break
        for way in ways:
            words = f"tilted {angle:g}° about {tilt.about}, then {way.words}"
            trial = _trial(words, bodies, _Move(tilt, at, (angle,), way.words))
            barred[way.words] = Exit(words, (), way.words), list(hits_of(trial, part.name, None, room))
            if not barred[way.words][1]:
                yield barred[way.words]
                return
        before = angle
    if not room.shapes:
        yield from barred.values()


@dataclass(frozen=True)
class _Move:
    """A turn from one angle to another, in degrees; or, from one angle, a way off."""

    tilt: Tilt
    start: Shift
    angles: tuple[float, ...]
    off: str | None = None

    @property
    def axes(self) -> list[int]:
        """The axis that it turns about, and the two across it."""
        axis, _ = way_of(self.tilt.about)
        return [axis, (axis + 1) % 3, (axis + 2) % 3]

    def swept(self, box: Corners) -> tuple[tuple[float, float], Floats]:
        """What a box sweeps: from where to where along the axis, and the corners of its outline across it."""
        low, high = ((np.array(corner) + self.start) / UNITS for corner in box)
        low, high = low[self.axes], high[self.axes]
        about = ([float(one) for one in self.tilt.at] + np.array(self.start) / UNITS)[self.axes][1:]
        flat = np.array([[x, y] for x in (low[1], high[1]) for y in (low[2], high[2])]) - about
        sign = way_of(self.tilt.about)[1]
        turned = []
        for angle in self.angles:
            turn = math.radians(sign * angle)
            rows = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
            turned.append(flat @ rows.T + about)
        along = float(low[0]), float(high[0])
        if self.off is not None:
            ahead = np.array([float(one) for one in direction(self.off)])[self.axes]
            by = ahead / np.linalg.norm(ahead) * _FAR_MM
            turned.append(turned[0] + by[1:])
            along = min(along[0], along[0] + by[0]), max(along[1], along[1] + by[0])
        return along, np.concatenate(turned)

    def meets(self, box: Corners, still: Corners) -> bool:
        """Whether a box runs into one that stands still."""
        low, high = (np.array(corner)[self.axes] / UNITS for corner in still)
        (begin, end), outline = self.swept(box)
        if min(end, high[0]) - max(begin, low[0]) <= _HAIR_MM:
            return False
        other = np.array([[x, y] for x in (low[1], high[1]) for y in (low[2], high[2])])
        sides = [b - a for a, b in combinations(outline, 2)]
        across = np.array([[1.0, 0.0], [0.0, 1.0], *([-y, x] for x, y in sides)])
        long = np.linalg.norm(across, axis=1)
        across = across[long > 1e-6] / long[long > 1e-6, None]
        mine, its = outline @ across.T, other @ across.T
        least = np.minimum(mine.max(axis=0), its.max(axis=0))
        overlap = least - np.maximum(mine.min(axis=0), its.min(axis=0))
        return bool((overlap > _HAIR_MM).all())


def _trial(words: str, bodies: Sequence[Solid], move: _Move) -> Trial:
    low, high = np.full(3, math.inf), np.full(3, -math.inf)
    for body in bodies:
        (begin, end), outline = move.swept(body.around)
        corners = [(begin, *outline.min(axis=0)), (end, *outline.max(axis=0))]
        back = np.argsort(move.axes)
        low, high = np.minimum(low, np.array(corners[0])[back]), np.maximum(high, np.array(corners[1])[back])

    def hits(solid: Solid, shift: Shift) -> bool:
        boxes = (box for body in bodies for box in body.corners)
        return any(_meets(move, box, still, shift) for box in boxes for still in solid.corners)

    least, most = ((corner * UNITS).astype(np.int64) for corner in (low, high))
    return Trial("out", words, least, most, hits, frozenset(body.part for body in bodies), move.off or "")


def _meets(move: _Move, box: Corners, still: Corners, shift: Shift) -> bool:
    """Whether a box runs into one that has moved; those that overlap as fitted touch, or are too rough."""
    if all(box[0][n] < still[1][n] and still[0][n] < box[1][n] for n in range(3)):
        cut = touching(box, still, MEASURED_TO_MM * UNITS)
        if cut is None:
            return False
        still = cut
    low, high = ([corner[n] + shift[n] for n in range(3)] for corner in still)
    return move.meets(box, (low, high))
