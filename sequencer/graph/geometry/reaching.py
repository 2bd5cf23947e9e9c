"""What is in the way of the tools and fasteners of a part's joints."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from sequencer.graph.geometry.hits import Hit, Seen, Trial, any_way, hits_of, others
from sequencer.graph.geometry.solids import MEASURED_TO_MM, NOWHERE, Solid, Solids, units
from sequencer.graph.geometry.sweep import UNITS, Shift
from sequencer.graph.geometry.tooling import (
    ARC,
    Handle,
    Rod,
    arcs,
    free_arc,
    handles,
    rod_bars,
    rods,
    way_of,
)
from sequencer.machine.model import HAND, Atom, Joint, Part


def reaching(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars the tools and fasteners of a part's joints.

    What is moved aside from one of them must not come to lie over another: both are undone in the same job.
    Where the part's own body bars the tool, nothing else is told to: it would be taken off in vain.
    """
    every = [trial for joint in part.joints.values() for trial in trials_at(joint, room)]
    for joint in part.joints.values():
        for trial in trials_at(joint, room):
            hits = list(hits_of(trial, part.name, joint.name, room, every))
            if not (hits and trial.what == "reach" and is_shut(part, joint, room)):
                yield from (Seen(part.name, joint.name, "undo", hit.clears, (hit,)) for hit in hits)
        for handle in handles(joint):
            arcs = barred_arcs(handle, _around(handle, joint, room))
            ways = [[_arc_hit(joint, handle, solid) for solid in arc] for arc in arcs]
            yield from any_way(part.name, joint.name, "undo", ways)


def _around(handle: Handle, joint: Joint, room: Solids) -> list[tuple[Solid, Shift]]:
    return [(one, NOWHERE) for one in others(joint.part, joint.name, room, *handle.around)]


def free_arcs(part: Part, room: Solids) -> Iterator[tuple[str, tuple[float, str]]]:
    """The joints whose handle finds no full circle, but an arc: how many degrees, and about which way.

    Of several fasteners the one with the least room is told.
    """
    for joint in part.joints.values():
        found = []
        for handle in handles(joint):
            bars = [bar for one, shift in _around(handle, joint, room) for bar in handle.bars(one, shift)]
            found.append((free_arc(bars), handle.axis))
        if found:
            (begin, end), axis = min(found, key=lambda one: one[0][1] - one[0][0])
            if ARC <= end - begin < math.tau:
                towards = round((begin + end) / math.pi) % 4  # quarters of a turn from the first axis
                way = "xyz"[(axis + 1 + towards % 2) % 3]
                yield joint.path, (math.degrees(end - begin), f"{'+' if towards < 2 else '-'}{way}")


def barred_arcs(handle: Handle, things: Iterable[tuple[Solid, Shift]]) -> list[list[Solid]]:
    """What bars each arc that a handle could turn in, the least first; empty where one is free.

    ``things`` are given with how far they have moved.
    """
    bars = {solid.path: (solid, some) for solid, shift in things if (some := handle.bars(solid, shift))}
    found = set(arcs({path: some for path, (_, some) in bars.items()}).values())
    least = [arc for arc in found if not any(other < arc for other in found)]
    if not all(least):
        return []
    named = sorted((sorted(arc) for arc in least), key=lambda arc: (len(arc), arc))
    return [[bars[path][0] for path in arc] for arc in named]


def _arc_hit(joint: Joint, handle: Handle, solid: Solid) -> Hit:
    """What would take something out of a handle's arc; moved aside, it must be out of the whole circle."""
    own = solid.part == joint.part
    aside = [state for state in solid.moved if not own and not handle.bars(solid, solid.moved[state])]
    clears = (Atom(solid.part, min(aside)),) if aside else ()
    return Hit(
        "swing", joint.axis or "", solid.path, clears if clears and not solid.joint else (solid.gone, *clears)
    )


def trials_at(joint: Joint, room: Solids) -> Iterator[Trial]:
    """What is tried at each fastener of a joint: the tool on its way in, and its own way out."""
    if joint.axis is None:
        return
    axis, sign = way_of(joint.axis)
    body = rods(joint, room.tools)
    for spot in (units(point) for point in joint.spots):
        at, along = np.array(spot, dtype=np.int64), np.zeros(3, dtype=np.int64)
        for what, length in (("reach", joint.reach), ("draw", joint.draw)):
            if length is None:
                continue
            thick = max((rod.radius for rod in body), default=0) if what == "reach" else 0
            line = Rod(0, math.ceil(length * UNITS), 0)
            hits = partial(_tool, joint, spot, body if what == "reach" else (line,), room.tolerance_mm)
            along[axis] = sign * line.end
            wide = np.full(3, max(thick, 1), dtype=np.int64)
            yield Trial(
                what, joint.axis, np.minimum(at, at + along) - wide, np.maximum(at, at + along) + wide, hits
            )


def _tool(
    joint: Joint, spot: Shift, tool: Iterable[Rod], tolerance_mm: float, solid: Solid, shift: Shift
) -> bool:
    return any(rod_bars(joint, spot, rod, solid, shift, tolerance_mm).any() for rod in tool)


def shut_by_itself(part: Part, room: Solids) -> Iterator[str]:
    """The joints whose tool the part's own body bars: taking other things off does not help there.

    Boxes that hold the fastener's head, to within an error of measuring, say nothing: they are too rough.
    """
    yield from (joint.path for joint in part.joints.values() if is_shut(part, joint, room))


def is_shut(part: Part, joint: Joint, room: Solids) -> bool:
    """Whether that is so for one of them."""
    body = room.bodies.get(part.name)
    if body is None or joint.tool == HAND or not joint.axis or not joint.reach:  # a hand finds its way round
        return False
    return any(_shut(body, joint, units(point), room) for point in joint.spots)


def _shut(body: Solid, joint: Joint, spot: Shift, room: Solids) -> bool:
    """Whether a tool runs into the body that its own fastener is on, farther than the head can be off."""
    tool, tolerance = rods(joint, room.tools), room.tolerance_mm
    near = MEASURED_TO_MM * UNITS
    if body.shape is not None:
        beyond = (replace(rod, begin=max(rod.begin, near)) for rod in tool if rod.end > near)
        return any(rod_bars(joint, spot, rod, body, NOWHERE, tolerance).any() for rod in beyond)
    at = np.array(spot, dtype=np.int64)
    away = ~((body.low - near <= at) & (at <= body.high + near)).all(axis=1)
    return any((rod_bars(joint, spot, rod, body, NOWHERE, tolerance) & away).any() for rod in tool)
