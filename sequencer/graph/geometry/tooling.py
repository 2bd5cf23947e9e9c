"""The room that a tool takes: its body along the axis of a fastener, and the arc that its handle needs.

A handle need not turn in a full circle: a spanner goes on again after a sixth of one, since a hexagon has six
sides (common practice). So an arc of that width is looked for, and only where there is none, something is in
the way: of each arc, what bars it.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from sequencer.graph.geometry.skins import handle_meets, rod_meets
from sequencer.graph.geometry.solids import Solid, units
from sequencer.graph.geometry.sweep import UNITS, Ints, Shift, rod_hits
from sequencer.machine.facts.frame import WAYS
from sequencer.machine.model import HAND, Joint, Tool

ARC = math.pi / 3
"""What a handle has to turn through before it can be set on again."""

_A_HAIR = 1e-9

Interval = tuple[float, float]
"""Angles from one to the other, counted on from the first axis of the plane; the second may exceed a turn."""


def way_of(word: str) -> tuple[int, int]:
    """The axis of a way (0, 1, 2) and its sign."""
    along = [int(step) for step in WAYS[word]]
    axis = next(number for number, step in enumerate(along) if step)
    return axis, along[axis]


@dataclass(frozen=True)
class Rod:
    """A round piece of a tool: from so far to so far along the axis, and its radius, in units."""

    begin: int
    end: int
    radius: int


@dataclass(frozen=True)
class Handle:
    """Where the handle of a tool turns at one fastener: the plane, the centre and the radius, in mm."""

    axis: int
    height: Fraction
    centre: tuple[float, float]
    radius: float

    @property
    def around(self) -> tuple[Ints, Ints]:
        """The corners of a box that it turns within, in units."""
        out = math.ceil(self.radius * UNITS) + 1
        middle = np.zeros(3, dtype=np.int64)
        middle[(self.axis + 1) % 3], middle[(self.axis + 2) % 3] = (round(one * UNITS) for one in self.centre)
        room = np.full(3, out, dtype=np.int64)
        middle[self.axis], room[self.axis] = int(self.height), 1
        return middle - room, middle + room

    def bars(self, solid: Solid, shift: Shift) -> list[Interval]:
        """The angles at which the handle, as thin as a line, runs into something that has moved so far."""
        if solid.shape is not None:
            centre = np.zeros(3)
            centre[[(self.axis + 1) % 3, (self.axis + 2) % 3]] = self.centre
            centre[self.axis] = float(self.height) / UNITS
            return handle_meets(solid.shape, centre - np.array(shift) / UNITS, self.axis, self.radius)
        low, high = solid.boxes(shift)
        first, second = (self.axis + 1) % 3, (self.axis + 2) % 3
        found = []
        for down, up in zip(low.tolist(), high.tolist(), strict=True):
            if down[self.axis] < self.height < up[self.axis]:
                x0, x1 = (bound[first] / UNITS - self.centre[0] for bound in (down, up))
                y0, y1 = (bound[second] / UNITS - self.centre[1] for bound in (down, up))
                shadow = _shadow(x0, x1, y0, y1, self.radius)
                found += [shadow] if shadow else []
        return found


def handles(joint: Joint) -> Iterator[Handle]:
    """The handle at each fastener of a joint, at the end of the tool's reach."""
    if joint.axis is None or joint.swing is None:
        return
    axis, sign = way_of(joint.axis)
    for spot in (units(point) for point in joint.spots):
        height = Fraction(spot[axis] + sign * (joint.reach or 0) * UNITS)
        centre = spot[(axis + 1) % 3] / UNITS, spot[(axis + 2) % 3] / UNITS
        yield Handle(axis, height, centre, float(joint.swing))


def arcs(bars: Mapping[str, Sequence[Interval]]) -> dict[float, frozenset[str]]:
    """Where an arc can begin, in angles, and what bars it: nothing, where one is free."""
    every = [(name, bar) for name, some in bars.items() for bar in some]
    starts = {0.0, *(end % math.tau for _, (_, end) in every)}
    return {
        start: frozenset(name for name, bar in every if _meets(bar, start, start + ARC))
        for start in sorted(starts)
    }


def free_arc(bars: Sequence[Interval]) -> Interval:
    """The widest arc that no bar reaches into; the full circle where there is no bar."""
    if not bars:
        return 0.0, math.tau
    best, start = (0.0, 0.0), min(begin for begin, _ in bars)
    reached = start
    turned = sorted(((begin - start) % math.tau + start, end - begin) for begin, end in bars)
    for begin, width in (*turned, (start + math.tau, 0.0)):
        best = max(best, (reached, begin), key=lambda one: one[1] - one[0])
        reached = max(reached, begin + width)
    return best


def _meets(bar: Interval, begin: float, end: float) -> bool:
    turns = (-math.tau, 0.0, math.tau)
    return any(bar[0] + turn < end - _A_HAIR and begin + _A_HAIR < bar[1] + turn for turn in turns)


def _shadow(x0: float, x1: float, y0: float, y1: float, radius: float) -> Interval | None:
    """The angles at which a line of that length from nought goes through the inside of a rectangle."""
    nearest = math.hypot(max(x0, 0.0, -x1), max(y0, 0.0, -y1))
    if nearest >= radius:
        return None
    if x0 < 0 < x1 and y0 < 0 < y1:
        return 0.0, math.tau
    points = [(x, y) for x in (x0, x1) for y in (y0, y1) if math.hypot(x, y) <= radius]
    for x in (x0, x1):
        if abs(x) < radius:
            reach = math.sqrt(radius * radius - x * x)
            points += [(x, y) for y in (-reach, reach) if y0 <= y <= y1]
    for y in (y0, y1):
        if abs(y) < radius:
            reach = math.sqrt(radius * radius - y * y)
            points += [(x, y) for x in (-reach, reach) if x0 <= x <= x1]
    middle = math.atan2((max(y0, -radius) + min(y1, radius)) / 2, (max(x0, -radius) + min(x1, radius)) / 2)
    turned = [
        math.remainder(math.atan2(y, x) - middle, math.tau) for x, y in points if math.hypot(x, y) > _A_HAIR
    ]
    return (middle + min(turned), middle + max(turned)) if turned else None


def rods(joint: Joint, tools: Mapping[str, Tool]) -> tuple[Rod, ...]:
    """The body of a joint's tool along its axis, as far as the reach."""
    if joint.reach is None:
        return ()
    length = int(joint.reach * UNITS)
    row = next(one for one in _tools() if any(joint.tool.startswith(name) for name in one["names"]))
    times, plus = row["first"]["across"]
    across = tools[joint.tool].across_mm if joint.tool != HAND else None
    first = min(int(row["first"]["long"] * UNITS), length)
    radius = (times * (across or 0) + plus) / 2
    found = [Rod(0, first, int(radius * UNITS))]
    if first < length:
        found.append(Rod(first, length, int(row["beyond"] / 2 * UNITS)))
    return tuple(found)


def rod_bars(
    joint: Joint, spot: Shift, rod: Rod, solid: Solid, shift: Shift, tolerance_mm: float
) -> npt.NDArray[np.bool_]:
    """Which boxes of something that has moved so far a piece of a tool at ``spot`` runs into; or a shape."""
    axis, sign = way_of(joint.axis or "+z")
    if solid.shape is None:
        low, high = solid.boxes(shift)
        return rod_hits(spot, axis, sign, (rod.begin, rod.end), rod.radius, low, high)
    from_it = (np.array(spot) - np.array(shift)) / UNITS
    along = rod.begin / UNITS + tolerance_mm, rod.end / UNITS
    radius = max(rod.radius / UNITS - tolerance_mm, tolerance_mm / 2)
    return np.array([rod_meets(solid.shape, from_it, axis, sign, along, radius)])


@cache
def _tools() -> tuple[dict[str, Any], ...]:
    text = Path(__file__).with_name("tools.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["tool"])
