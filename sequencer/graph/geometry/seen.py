"""What is in the way of what, as the boxes show it: parts that leave or move, tools, fasteners.

Removability by translation, one way at a time, is a row of the directional blocking graph of Wilson &
Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71 (1994) 371-396: for a
way, an arc from each part to those that a sweep along it runs into. A way is free where the inside of the
part, moved along it to infinity, overlaps the inside of no other (Latombe's course CS 326, Stanford 1998).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain

import numpy as np

from sequencer.graph.geometry.exits import Exit, barred, group_of, in_two_legs, straight
from sequencer.graph.geometry.hits import Hit, Seen, any_way, hits_of, leg_of
from sequencer.graph.geometry.reaching import reaching
from sequencer.graph.geometry.solids import MEASURED_TO_MM, NOWHERE, Solid, Solids
from sequencer.graph.geometry.sweep import UNITS, less, overlapping, touching
from sequencer.graph.geometry.tilts import tilted
from sequencer.machine.facts.frame import ANY
from sequencer.machine.model import Atom, Machine, Part, State, Subject


def see(machine: Machine, room: Solids) -> tuple[Seen, ...]:
    """Every relation that the boxes show, in the order of the file."""
    found: dict[tuple[str, str, tuple[Atom, ...]], Seen] = {}
    for part in machine.parts.values():
        for seen in (*_leaving(machine, part, room), *_moving(part, room), *reaching(part, room)):
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
        touching(one.corners[a], other.corners[b], most) is None
        for a, b in np.argwhere(overlapping(one.low, one.high, other.low, other.high))
    )


def free_ways(machine: Machine, part: Part, room: Solids) -> tuple[str, ...]:
    """Those of the part's straight ways out that nothing bars."""
    bodies = group_of(machine, part, room)
    ways = straight(part, room.bodies[part.name], room)
    return tuple(way.words for way in ways if not barred(way, bodies, part, room))


def two_legs(machine: Machine, room: Solids, seen: Iterable[Seen]) -> dict[str, str]:
    """Parts that come out in two legs, or tilted, and of which no straight way out is free: how."""
    found: dict[str, str] = {}
    held = {one.part for one in seen if one.move == "off"}
    for part in machine.parts.values():
        turns = len(part.out) + (ANY in part.out) > 1 or part.tilt is not None
        if part.name in room.bodies and part.name not in held and part.out and turns:
            ways = straight(part, room.bodies[part.name], room)
            bodies = group_of(machine, part, room)
            if all(barred(way, bodies, part, room) for way in ways):
                roundabout = chain(in_two_legs(bodies, part, room, ways), tilted(bodies, part, room, ways))
                free = next((way for way, hits in roundabout if not hits), None)
                if free is not None:
                    found[part.name] = free.words
    return found


def _leaving(machine: Machine, part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part's way out; with several ways, what has to be clear of each combination.

    What may ride on it goes along, or is off by then.
    """
    if part.name not in room.bodies or not part.out:
        return
    bodies = group_of(machine, part, room)
    own, riders = bodies[:1], bodies[1:]
    ways = straight(part, own[0], room)
    found = [_with_riders(barred(way, own, part, room), way, riders, part, room) for way in ways]
    if all(found):
        legs = in_two_legs(own, part, room, ways)
        ridden = ((way, _with_riders(hits, way, riders, part, room)) for way, hits in legs)
        roundabout = chain(ridden, tilted(bodies, part, room, ways))
        for _, hits in roundabout:
            found.append(hits)
            if not hits:
                return
        found = _least_barred(found)
    yield from any_way(part.name, None, "off", found)


def _with_riders(hits: list[Hit], way: Exit, riders: Sequence[Solid], part: Part, room: Solids) -> list[Hit]:
    """The same, less the riders themselves, and with what they run into unless they are off before."""
    going = {rider.part for rider in riders}
    found = [hit for hit in hits if Subject(hit.obstacle).part not in going]
    known = {hit.obstacle for hit in found}
    for rider in riders:
        off = Atom(rider.part, State.OFF)
        found += [
            replace(hit, clears=(*hit.clears, off), rider=rider.part)
            for hit in barred(way, (rider,), part, room)
            if Subject(hit.obstacle).part not in going and hit.obstacle not in known
        ]
    return found


def _least_barred(ways: list[list[Hit]]) -> list[list[Hit]]:
    """The ways of which no other one is barred by less."""
    bars = [frozenset((hit.obstacle, hit.clears) for hit in way) for way in ways]
    return [
        way
        for number, way in enumerate(ways)
        if not any(
            other < bars[number] or (other == bars[number] and n < number) for n, other in enumerate(bars)
        )
    ]


def _moving(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part from where it goes when it is loosened or moved aside."""
    body = room.bodies.get(part.name)
    if body is None:
        return
    for state in body.moved:
        at = NOWHERE
        for stop in body.stops(state):
            trial = leg_of(state.word, "", body, at, less(stop, at), room)
            for hit in hits_of(trial, part.name, None, room):
                yield Seen(part.name, None, state.word, hit.clears, (hit,))
            at = stop
