"""How the fasteners of a joint are tightened and loosened: order, passes, a range where no figure is."""

from __future__ import annotations

from dataclasses import replace

from sequencer.graph.operations import Kind
from sequencer.machine.model import Joint
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.plan.plan import Plan
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.preload import SuggestedRange
from sequencer.torque.tightening.bolt_order import BoltOrder, bolt_order
from sequencer.torque.tightening.passes import SNUG, Pass, tightening_passes

FEWEST_ORDERED = 3
"""Of fewer fasteners only the maker's own order is worth a line. Common practice."""

_RELEASING = frozenset({Kind.CRACK, Kind.SLACKEN, Kind.UNDO})
_CLOSING = frozenset({Kind.FASTEN, Kind.TIGHTEN, Kind.RETIGHTEN})


def order_of(joint: Joint) -> BoltOrder | None:
    """The order of a joint's fasteners, the maker's or generated.

    None where the file says nothing of it, and where what it says does not go together (``check`` warns).
    """
    torque = joint.torque
    given = torque.order if torque else ()
    pattern = torque.pattern if torque else None
    told = given or (joint.count >= FEWEST_ORDERED and (pattern or joint.at))
    if not told:
        return None
    try:
        return bolt_order(joint.count, at=joint.at or _places(joint), order=given, pattern=pattern)
    except FastenerError:
        return None


_FACES = {
    "+x": ((1, 1), (2, 1)), "-x": ((1, -1), (2, 1)), "+y": ((0, -1), (2, 1)), "-y": ((0, 1), (2, 1)),
    "+z": ((0, 1), (1, 1)), "-z": ((0, -1), (1, 1)),
}  # fmt: skip
"""What points to the right and up for who looks at heads that face this way: the axis, and its sign."""


def _places(joint: Joint) -> tuple[tuple[float, float], ...]:
    """Where the fasteners sit for who looks at their heads, from places in the machine's frame, in mm."""
    if len(joint.spots) != joint.count or joint.axis not in _FACES:
        return ()
    face = _FACES[joint.axis]
    return tuple(
        (float(face[0][1] * spot[face[0][0]]), float(face[1][1] * spot[face[1][0]])) for spot in joint.spots
    )


def passes_of(joint: Joint) -> tuple[Pass, ...]:
    """The passes in which a joint gets its torque; their ``order`` is empty where the file tells none."""
    if joint.torque is None:
        return ()
    known = order_of(joint)
    torque = joint.torque
    passes = tightening_passes(torque.stages, known or bolt_order(joint.count), torque.prevailing)
    kind = kind_of_joint(joint.kind)
    if kind is not None and kind.use.seals:  # each for itself: what is seated is not pulled again
        passes = tuple(one for one in passes if not one.generated or one.name == SNUG)
    return passes if known else tuple(replace(one, order=()) for one in passes)


def loosening(plan: Plan) -> dict[int, BoltOrder]:
    """The steps that release a joint of six or more fasteners whose order is known, by number.

    Each joint is named at its first such step only: after that nothing clamps any more.
    """
    found: dict[int, BoltOrder] = {}
    seen: set[str] = set()
    for step in plan.steps:
        operation = step.operation
        if operation.kind not in _RELEASING or operation.subject in seen:
            continue
        seen.add(operation.subject)
        assert operation.part is not None
        assert operation.joint is not None
        order = order_of(plan.machine.joint(operation.part, operation.joint))
        if order is not None and order.loosened_in_order:
            found[step.number] = order
    return found


def computed_ranges(plan: Plan) -> dict[int, SuggestedRange | None]:
    """The steps that close a joint for which the file gives thread and class but no torque, by number.

    Each joint is named at its last such step. The range stands in for nothing: it is never a gate. None where
    nothing can be computed, since the joint seals.
    """
    last: dict[str, int] = {}
    ranges: dict[str, SuggestedRange | None] = {}
    for step in plan.steps:
        operation = step.operation
        if operation.kind not in _CLOSING or operation.part is None or operation.joint is None:
            continue
        joint = plan.machine.joint(operation.part, operation.joint)
        if joint.torque is not None or not joint.thread:
            continue
        suggested = joint.judgement.suggested
        if suggested is not None or joint.judgement.sealing:
            last[operation.subject] = step.number
            ranges[operation.subject] = suggested
    return {number: ranges[subject] for subject, number in last.items()}
