"""What is in the way of what, as the boxes show it: parts that leave or move, tools, fasteners.

Removability by translation, one way at a time, is a row of the directional blocking graph of Wilson &
Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71 (1994) 371-396: for a
way, an arc from each part to those that a sweep along it runs into. A way is free where the inside of the
part, moved along it to infinity, overlaps the inside of no other (Latombe's course CS 326, Stanford 1998).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sequencer.graph.geometry.hits import Hit, Seen, any_way, endless, hits_of, leg_of
from sequencer.graph.geometry.reaching import reaching
from sequencer.graph.geometry.solids import MEASURED_TO_MM, NOWHERE, Solid, Solids
from sequencer.graph.geometry.sweep import UNITS, overlapping, touching
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
        if other.joint is None
        and place[other.part] > place[one.part]
        and _overlap(one, other, room.tolerance_mm)
    )


def _overlap(one: Solid, other: Solid, tolerance_mm: float) -> bool:
    """Whether two bodies overlap by more than an error of measuring."""
    if one.shape is not None or other.shape is not None:
        from sequencer.graph.geometry.meeting import inside_by

        return inside_by(one.skin, other.skin, tolerance_mm)
    most = MEASURED_TO_MM * UNITS
    return any(
        touching(one.low[a], one.high[a], other.low[b], other.high[b], most) is None
        for a, b in np.argwhere(overlapping(one.low, one.high, other.low, other.high))
    )


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
    return list(hits_of(leg_of("out", way, body, NOWHERE, endless(way), room), body.part, None, room))


def _moving(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part from where it goes when it is loosened or moved aside."""
    body = room.bodies.get(part.name)
    if body is None:
        return
    for state, shift in body.moved.items():
        trial = leg_of(state.word, "", body, NOWHERE, shift, room)
        for hit in hits_of(trial, part.name, None, room):
            yield Seen(part.name, None, state.word, hit.clears, (hit,))
