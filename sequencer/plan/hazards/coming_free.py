"""Where a part that is lifted comes free: the joints that bear or retain it, and the lift."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.graph.operations import Kind
from sequencer.machine.trade.kinds import Holds, kind_of_joint
from sequencer.plan.hazards.lifting import MOVES
from sequencer.plan.plan import Plan, Step


@dataclass(frozen=True)
class Freed:
    """The steps that undo the ``first`` and ``last`` joint that bears a part, and that of its ``lift``.

    A part that nothing bears, or whose joints are undone already, comes free as it is lifted.
    """

    first: int
    last: int
    lift: Step


def coming_free(plan: Plan) -> dict[str, Freed]:
    """Each part of a plan that is lifted."""
    bearing: dict[str, list[int]] = {}
    found: dict[str, Freed] = {}
    for step in plan.steps:
        part = step.operation.part
        if part is not None and step.operation.kind in MOVES:
            numbers = bearing.get(part, [step.number])
            found[part] = Freed(numbers[0], numbers[-1], step)
        elif part is not None and _bears(plan, step):
            bearing.setdefault(part, []).append(step.number)
    return found


def _bears(plan: Plan, step: Step) -> bool:
    operation = step.operation
    if operation.kind is not Kind.UNDO or operation.part is None or operation.joint is None:
        return False
    kind = kind_of_joint(plan.machine.joint(operation.part, operation.joint).kind)
    return kind is not None and kind.holds in (Holds.BEARING, Holds.RETAINING)
