"""The ways on which a part can leave: straight, or lifted one way first and drawn off another.

With several ways ``out`` a part may go so far along one, as there is room, and leave by another. A lift
matters only where it brings the part clear of something that is in the way of the second leg, so those
lengths are tried, least first. On boxes that misses none; a shape from a file is tried where the box around
it is clear, and half way there.

``any`` stands for all directions that contacts leave free: the axes, and of slanted faces the way off them
and along their edges, less what a contact bars at once. The directions in which a part can begin to move form
a cone bounded by the normals of its contacts, and its edges are tried: Wilson & Latombe, "Geometric reasoning
about mechanical assembly", Artificial Intelligence 71 (1994) 371-396, on non-directional blocking graphs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, islice, permutations

import numpy as np

from sequencer.graph.geometry.hits import Hit, Trial, hits_of, moving
from sequencer.graph.geometry.solids import NOWHERE, Solid, Solids
from sequencer.graph.geometry.sweep import FAR, UNITS, Shift
from sequencer.graph.geometry.tooling import way_of
from sequencer.machine.facts.frame import ANY, WAYS, direction, way_word
from sequencer.machine.model import Machine, Part

_STEPS = 2
"""Lifts that are tried up to where the box around a shape is clear."""

_MOST_ROUGH = 4
"""Lifts that are tried for a pair of ways where there are shapes: each takes much longer than on boxes."""

_MOST_LIFTS = 48
"""Lifts that are tried for a pair of ways."""

_MOST_NORMALS = 6
"""Slanted directions of a part's faces that are looked at, the largest faces first."""


@dataclass(frozen=True)
class Exit:
    """One way of leaving: in words, and its legs; the ``last`` of several goes on without end, that way."""

    words: str
    legs: tuple[Shift, ...]
    last: str = ""


def endless(way: str) -> Shift:
    """A way out as a move without end."""
    return _along(way, FAR if way in WAYS else FAR >> 10)


def _along(way: str, length: int) -> Shift:
    """So far along a way, in units of its largest component."""
    ahead = direction(way)
    most = max(map(abs, ahead))
    x, y, z = (int(part / most * length) for part in ahead)
    return x, y, z


def group_of(machine: Machine, part: Part, room: Solids) -> tuple[Solid, ...]:
    """The bodies that go off with a part: its own first, then what may ride on it."""
    names = (part.name, *(rider.name for rider in machine.riders(part.name)))
    return tuple(room.bodies[name] for name in names if name in room.bodies)


def barred(exit_: Exit, bodies: Sequence[Solid], part: Part, room: Solids) -> list[Hit]:
    """What is in the way of some bodies on one way of leaving."""
    found: list[Hit] = []
    at: Shift = NOWHERE
    for leg in exit_.legs:
        found += hits_of(_trial(exit_.words, bodies, at, leg, room, exit_.last), part.name, None, room)
        at = at[0] + leg[0], at[1] + leg[1], at[2] + leg[2]
    return list(dict.fromkeys(found))


def _trial(words: str, bodies: Sequence[Solid], at: Shift, leg: Shift, room: Solids, way: str = "") -> Trial:
    by = np.array(leg, dtype=np.int64)
    low = np.min([body.around[0] for body in bodies], axis=0) + at
    high = np.max([body.around[1] for body in bodies], axis=0) + at
    group = frozenset(body.part for body in bodies)
    return Trial(
        "out",
        words,
        np.minimum(low, low + by),
        np.maximum(high, high + by),
        moving(bodies, at, leg, room),
        group,
        way,
    )


def straight(part: Part, body: Solid, room: Solids) -> tuple[Exit, ...]:
    """The straight ways of leaving that a file gives a part."""
    ways = dict.fromkeys(
        w for way in part.out for w in (_free_directions(body, room) if way == ANY else (way,))
    )
    return tuple(Exit(way, (endless(way),)) for way in ways)


def in_two_legs(
    bodies: Sequence[Solid], part: Part, room: Solids, ways: Sequence[Exit], at: Shift = NOWHERE
) -> Iterator[tuple[Exit, list[Hit]]]:
    """Ways of leaving in two legs, and what is in the way of each; ends with one that is free.

    Only the second leg may be barred: a part is lifted as far as there is room for it. Where there are
    shapes, only a way that is free is told: what bars each of the others takes too long to find.
    """
    rough = bool(room.shapes)
    most = _MOST_ROUGH if rough else _MOST_LIFTS
    for first, second in permutations([one.words for one in ways], 2):
        lifts, last = [0], endless(second)
        done: set[int] = set()
        while lifts and len(done) < most:
            lift = min(lifts)
            lifts.remove(lift)
            done.add(lift)
            up = _along(first, lift)
            if lift and any(hits_of(_trial("", bodies, at, up, room), part.name, None, room)):
                break
            moved = at[0] + up[0], at[1] + up[1], at[2] + up[2]
            words = f"{float(np.linalg.norm(up)) / UNITS:.6g} mm {first}, then {second}"
            met = hits_of(_trial(words, bodies, moved, last, room, second), part.name, None, room)
            hits = list(islice(met, 1 if rough else None))
            if lift and not (hits and rough):
                yield Exit(words, (up, last), second), hits
                if not hits:
                    return
            for hit in hits:
                bodily = hit.obstacle in room.bodies
                solid = (room.bodies if bodily else room.joints)[hit.obstacle]
                new = {one for body in bodies for one in _clearing(body, at, solid, first, second, lift)}
                lifts += sorted(new - done - set(lifts))


def _clearing(body: Solid, at: Shift, solid: Solid, first: str, second: str, past: int) -> Iterator[int]:
    """How far along the first way brings a body clear of something on the second, beyond ``past``."""
    rough = body.shape is not None or solid.shape is not None
    for mine_low, mine_high in body.corners:
        for its_low, its_high in solid.corners:
            gaps = [(its_low[n] - mine_high[n] - at[n], its_high[n] - mine_low[n] - at[n]) for n in range(3)]
            clear: int | Fraction | None
            if first in WAYS and second in WAYS:
                clear = _last_along_axes(gaps, first, second)
            else:
                most = max(map(abs, direction(first)))
                clear = _last_meeting(gaps, [part / most for part in direction(first)], direction(second))
            if clear is not None and clear > past:
                whole = -int(-clear // 1)
                yield whole
                if rough:
                    yield from (past + (whole - past) * step // _STEPS for step in range(1, _STEPS))


def _last_along_axes(gaps: Sequence[tuple[int, int]], first: str, second: str) -> int | None:
    """The same as ``_last_meeting`` for two ways along axes, by whole numbers."""
    (axis, sign), (off, turn) = way_of(first), way_of(second)
    begin, end = gaps[axis] if sign > 0 else (-gaps[axis][1], -gaps[axis][0])
    ahead = gaps[off][1] if turn > 0 else -gaps[off][0]
    beside = gaps[3 - axis - off] if axis != off else (-1, 1)
    if axis == off or ahead <= 0 or not beside[0] < 0 < beside[1]:
        return None
    return end if begin < end else None


def _last_meeting(
    gaps: Sequence[tuple[int, int]], first: Sequence[Fraction], second: Sequence[Fraction]
) -> Fraction | None:
    """How far the first way can go and still meet a box on the second; None: for ever, or never.

    ``gaps`` are how far, along each axis, a body has to go to begin and to end to overlap the box. Each is a
    pair of linear bounds on the two lengths; the second length is taken out of them by Fourier and Motzkin's
    elimination.
    """
    bounds = [(Fraction(0), Fraction(-1), Fraction(0))]  # a·first + b·second < c
    for (begin, end), a, b in zip(gaps, first, second, strict=True):
        bounds += [(a, Fraction(b), Fraction(end)), (-a, -Fraction(b), Fraction(-begin))]
    alone = [(a, c) for a, b, c in bounds if b == 0]
    upper = [(a / b, c / b) for a, b, c in bounds if b > 0]
    lower = [(a / b, c / b) for a, b, c in bounds if b < 0]
    alone += [(a - d, c - e) for a, c in upper for d, e in lower]
    if any(a == 0 and c <= 0 for a, c in alone):
        return None
    ends = [c / a for a, c in alone if a > 0]
    begins = [c / a for a, c in alone if a < 0]
    return min(ends) if ends and max(begins, default=min(ends) - 1) < min(ends) else None


def _free_directions(body: Solid, room: Solids) -> tuple[str, ...]:
    """The axes, and of a part with slanted faces the edges of the cone that its contacts leave free."""
    if body.shape is None:
        return tuple(WAYS)
    normals = _slanted(body)
    edges = [np.cross(a, b) for a, b in combinations([*normals, *np.eye(3)], 2)]
    found = [*normals, *(-one for one in normals)]
    found += [sign * one for one in edges if np.linalg.norm(one) > 1e-3 for sign in (1, -1)]
    near = [one for one in room.near(body.low[0] - UNITS, body.high[0] + UNITS) if one.part != body.part]
    step = UNITS // 2
    words = []
    for way in dict.fromkeys(way_word(one) for one in found):
        if way not in WAYS:
            hits = moving((body,), NOWHERE, _along(way, step), room)
            if not any(hits(solid, NOWHERE) for solid in near):
                words.append(way)
    return (*WAYS, *words)


def _slanted(body: Solid) -> list[np.ndarray]:
    """The directions of a shape's largest faces that do not lie along the axes."""
    assert body.shape is not None
    sides = body.shape.triangles[:, 1:] - body.shape.triangles[:, :1]
    area = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1)
    looks = body.shape.normals.round(3) + 0.0
    ways, number = np.unique(looks, axis=0, return_inverse=True)
    size = np.bincount(number.ravel(), weights=area)
    slanted = (np.abs(ways) > 0.01).sum(axis=1) > 1
    order = np.argsort(-size * slanted)
    return [ways[n] for n in order[:_MOST_NORMALS] if slanted[n] and size[n] > area.sum() / 50]
