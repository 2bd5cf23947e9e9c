"""What is in the way of what, as the boxes show it: parts that leave or move, tools, fasteners.

Removability by translation, one way at a time, is a row of the directional blocking graph of Wilson &
Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71 (1994) 371-396: for a
way, an arc from each part to those that a sweep along it runs into. A way is free where the inside of the
part, moved along it to infinity, overlaps the inside of no other (Latombe's course CS 326, Stanford 1998).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from sequencer.graph.geometry.hits import MOST_PAIRS, NOWHERE, Hit, Seen, Trial, any_way, hits_of, moving
from sequencer.graph.geometry.reaching import reaching
from sequencer.graph.geometry.solids import MEASURED_TO_MM, Solid, Solids
from sequencer.graph.geometry.sweep import (
    FAR,
    UNITS,
    hit_on_a_move,
    hit_on_the_way_out,
    overlapping,
    touching,
)
from sequencer.graph.geometry.tooling import way_of
from sequencer.machine.model import Atom, Machine, Part


def see(machine: Machine, room: Solids) -> tuple[Seen, ...]:
    """Every relation that the boxes show, in the order of the file."""
    found: dict[tuple[str, str, tuple[Atom, ...]], Seen] = {}
    for part in machine.parts.values():
        for seen in (*_leaving(part, room), *_moving(part, room), *reaching(part, room)):
            key = seen.holder, seen.move, seen.any_of
            known = found.get(key)
            hits = tuple(dict.fromkeys((*known.hits, *seen.hits))) if known else seen.hits
            found[key] = Seen(seen.part, seen.joint, seen.move, seen.any_of, hits)
    return tuple(found.values())


def inside_each_other(room: Solids) -> tuple[tuple[str, str], ...]:
    """Pairs of parts whose boxes overlap as they are fitted: too rough to tell which bars which."""
    place = {part: number for number, part in enumerate(room.bodies)}
    return tuple(
        (one.part, other.part)
        for one in room.bodies.values()
        for other in room.near(one.low.min(axis=0), one.high.max(axis=0))
        if other.joint is None and place[other.part] > place[one.part] and _overlap(one, other)
    )


def _overlap(one: Solid, other: Solid) -> bool:
    """Whether any two of their boxes overlap by more than an error of measuring."""
    step = max(1, MOST_PAIRS // len(other.low))
    around = overlapping(one.low, one.high, other.low.min(axis=0)[None], other.high.max(axis=0)[None])[:, 0]
    low, high = one.low[around], one.high[around]
    for n in range(0, len(low), step):
        found = np.argwhere(overlapping(low[n : n + step], high[n : n + step], other.low, other.high))
        if len(found) and not (one.exact and other.exact):
            return True
        most = MEASURED_TO_MM * UNITS
        if any(
            touching(low[n + a], high[n + a], other.low[b], other.high[b], most) is None for a, b in found
        ):
            return True
    return False


def free_ways(part: Part, room: Solids) -> tuple[str, ...]:
    """Those of the part's ways out that nothing bars."""
    return tuple(way for way in part.out if not _on_the_way(room.bodies[part.name], way, room))


def _leaving(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part's way out; with several ways, what has to be clear of each combination."""
    if part.name not in room.bodies or not part.out:
        return
    body = room.bodies[part.name]
    ways = [_on_the_way(body, way, room) for way in part.out]
    yield from any_way(part.name, None, "off", ways)


def _on_the_way(body: Solid, way: str, room: Solids) -> list[Hit]:
    axis, sign = way_of(way)
    hits = moving((body,), NOWHERE, partial(hit_on_the_way_out, axis=axis, sign=sign))
    low, high = body.low.min(axis=0), body.high.max(axis=0)
    (high if sign > 0 else low)[axis] = sign * FAR
    return list(hits_of(Trial("out", way, low, high, hits), body.part, None, room))


def _moving(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part from where it goes when it is loosened or moved aside."""
    body = room.bodies.get(part.name)
    if body is None:
        return
    for state, shift in body.moved.items():
        hits = moving((body,), NOWHERE, partial(hit_on_a_move, shift=shift))
        low, high = body.low.min(axis=0), body.high.max(axis=0)
        by = np.array(shift, dtype=np.int64)
        trial = Trial(state.word, "", np.minimum(low, low + by), np.maximum(high, high + by), hits)
        for hit in hits_of(trial, part.name, None, room):
            yield Seen(part.name, None, state.word, hit.clears, (hit,))
