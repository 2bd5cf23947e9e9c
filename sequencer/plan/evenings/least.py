"""What no order can do better: how few sittings there can be, how short one can be."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from sequencer.graph.operations import Kind
from sequencer.plan.evenings.possible import graph_of
from sequencer.plan.practice.ruled_job import PracticeJob

if TYPE_CHECKING:
    from sequencer.plan.evenings.ground import Ground

_SLICES = 40


def fewest(ground: Ground) -> int:
    """No order has fewer sittings.

    A sitting that ends in time with the wished chance does so in that share of the draws at least. Of the
    draws in which all that is shared is largest, a share t, it does so in t less what may be missed; there
    each step takes at least what it does in the shortest of these draws. So that much of the work, and no
    more than the room of a sitting, fits into one. The best t is taken; changes are left out.
    """
    import numpy as np

    load = ground.load
    order = np.argsort(load.shared)
    size = order.size
    most = 0.0
    for slice_ in range(1, _SLICES + 1):
        count = size * slice_ // _SLICES
        kept = count - (size - load.needed)
        if kept <= 0:
            continue
        least = np.partition(load.rows[:, order[size - count :]], kept - 1, axis=1)[:, :kept].mean(axis=1)
        most = max(most, float(least.sum()))
    number, left = 0, most * (1 - 1e-9)
    while left > 0:
        number += 1
        if (room := load.room(number)) <= 0:
            break
        left -= room
        if number >= len(load.wish.lengths):
            return number + math.ceil(max(left, 0) / room)
    return max(number, 1)


def shortest(ground: Ground) -> Fraction:
    """No sitting of an order that ends each where the machine may be left can always be shorter.

    From the first opening of a system to the last it is half open, and nobody stops; what comes in between
    in every order is done as well. And each step takes its time.
    """
    spans = [ground.load.taken(places, Fraction(0)) for places in _spans(ground)]
    return max((ground.load.sure(taken) for taken in spans), default=Fraction(0))


def _spans(ground: Ground) -> Iterator[list[int]]:
    yield from ([place] for place in range(ground.size))
    plan = ground.plan
    job = PracticeJob(graph_of(plan), plan.back)
    kind = Kind.FASTEN if plan.back else Kind.UNDO
    for fluid in plan.machine.fluids:
        wet = {
            name
            for part in job.parts()
            for joint in part.joints.values()
            if fluid in part.spills(joint) and job.has(name := kind.of(joint.path))
        }
        if len(wet) < 2:
            continue
        after = frozenset[str]().union(*(job.waiting_for(name) for name in wet))
        inside = wet | {name for name in after if not job.waiting_for(name).isdisjoint(wet)}
        yield [place for place, name in enumerate(ground.names) if name in inside]
