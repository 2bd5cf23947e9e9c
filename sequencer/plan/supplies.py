"""What a job uses up: the things that are fitted new."""

from __future__ import annotations

from sequencer.graph.operations import Kind
from sequencer.machine.model import Renewal
from sequencer.plan.plan import Plan

_DISTURBED = frozenset({Kind.MOVE_ASIDE, Kind.REMOVE, Kind.FIT, Kind.MOVE_BACK})


def renewals(plan: Plan) -> tuple[tuple[str, Renewal], ...]:
    """(part, renewal) for every part that comes off or moves aside, in the order of the plan; then of drains.

    A part that is only loosened keeps its seals; one that moved aside has had its faces parted.
    """
    parts = dict.fromkeys(op.part for op in plan.operations if op.kind in _DISTURBED and op.part)
    drained = dict.fromkeys(op.subject for op in plan.operations if op.kind in (Kind.DRAIN, Kind.CLOSE))
    return (
        *((part, renewal) for part in parts for renewal in plan.machine.parts[part].renew),
        *((fluid, renewal) for fluid in drained for renewal in plan.machine.fluids[fluid].renew),
    )
