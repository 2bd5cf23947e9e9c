"""An order in which little stands open for long: what can't be left half done is begun last and gone through.

From one place to stop to the next it goes by the plan's own order, so that tools and places stay together,
passing over what could not be finished within a sitting as long as there is anything else.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from sequencer.graph.operations import Kind
from sequencer.machine.model import Subject
from sequencer.plan.hazards.stops import Left
from sequencer.plan.practice.held import bears

if TYPE_CHECKING:
    from sequencer.plan.evenings.ground import Ground
    from sequencer.plan.hazards.stops import Loose

_JOINTS = frozenset({Kind.UNDO, Kind.FASTEN})


def short_open(ground: Ground, share: Fraction) -> tuple[int, ...] | None:
    """Such an order; None where it comes to a place from which nothing goes on.

    Args:
        ground: The plan.
        share: Of a sitting: what takes longer from one place to stop to the next is left for last.
    """
    load = ground.load
    most = load.around + (load.wish.lengths[-1] - load.around) * share
    order: list[int] = []
    done = 0
    while done != ground.all:
        found: list[tuple[int, ...]] = []
        for step in ground.next(done, order[-1] if order else -1, done):
            run = _gone_through(ground, done, step)
            if run is None:
                continue
            if len(run) == 1 or ground.sure(run) <= most:
                found = [run]
                break
            found.append(run)
        if not found:
            return None
        run = min(found, key=ground.sure)
        order += run
        for step in run:
            done |= 1 << step
    return tuple(order)


def _gone_through(ground: Ground, done: int, step: int) -> tuple[int, ...] | None:
    """The steps from there to the next place to stop, by what must be done to come to it."""
    run = [step]
    done |= 1 << step
    while not ground.may_stop(done):
        possible = list(ground.next(done, run[-1], 0))
        if not possible:
            return None
        wanted = ground.possible.first(_closing(ground, ground.left(done)), done)
        here = run[-1]
        run.append(min(possible, key=lambda one: (not wanted >> one & 1, ground.change(here, one), one)))
        done |= 1 << run[-1]
    return tuple(run)


def _closing(ground: Ground, loose: tuple[Loose, ...]) -> int:
    """The steps that end what is not safe to leave."""
    return ground.possible.bits(name for one in loose if one.unsafe for name in _ends(ground, one))


def _ends(ground: Ground, loose: Loose) -> Iterator[str]:
    machine, subject = ground.plan.machine, loose.subject
    for op in ground.plan.operations:
        part = machine.parts.get(op.part or "")
        joint = part.joints.get(op.joint or "") if part else None
        match loose.left:
            case Left.FLUID_HALF_OPEN | Left.FUEL_HALF_OPEN:
                if part and joint and op.kind in _JOINTS and subject in part.spills(joint):
                    yield op.name
            case Left.FILLED_UNCHECKED:
                if op.kind is Kind.LEAK_CHECK and op.subject == subject:
                    yield op.name
            case Left.HELD_UP:
                if op.subject == subject or op.part in machine.tasks[subject].load:
                    yield op.name
            case _:
                if op.part == Subject(subject).part and (op.joint is None or (joint and bears(joint))):
                    yield op.name
