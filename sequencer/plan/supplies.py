"""What a job uses up: the things that are fitted new."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Renewal
from sequencer.plan.plan import Plan

_MOVED = frozenset({Kind.MOVE_ASIDE, Kind.REMOVE, Kind.FIT, Kind.MOVE_BACK})
_OPENED = frozenset({Kind.UNDO, Kind.FASTEN})
_DRAINED = frozenset({Kind.DRAIN, Kind.CLOSE})


@dataclass(frozen=True)
class Renewed:
    """What is fitted new at one part or drain.

    Attributes:
        owner: The part, or the fluid of the drain.
        operation: The first of the plan that opens it or, on the way back, needs what is new.
        items: What is not used twice there.
    """

    owner: str
    operation: Operation
    items: tuple[Renewal, ...]


def renewed(plan: Plan) -> tuple[Renewed, ...]:
    """What is fitted new at every part whose faces are parted, in the order of the plan; then at drains.

    They are where it comes off, moves aside, or has all its joints undone; a part that is only loosened
    keeps its seals, and one of which some joint stays done up may keep them.
    """
    return (*_at_parts(plan), *_at_drains(plan))


def renewals(plan: Plan) -> tuple[tuple[str, Renewal], ...]:
    """(part or fluid, renewal) for all that is fitted new."""
    return tuple((one.owner, item) for one in renewed(plan) for item in one.items)


def _at_parts(plan: Plan) -> Iterator[Renewed]:
    taken, found = {*plan.taken_off}, set[str]()
    for op in plan.operations:
        if op.part is None or op.part in found or op.kind not in _MOVED | _OPENED:
            continue
        part = plan.machine.parts[op.part]
        moved = not taken.isdisjoint(kind.of(part.name) for kind in _MOVED)
        undone = all(Kind.UNDO.of(joint.path) in taken for joint in part.joints.values())
        if part.renew and (op.kind in _MOVED or (undone and not moved)):
            found.add(op.part)
            yield Renewed(op.part, op, part.renew)


def _at_drains(plan: Plan) -> Iterator[Renewed]:
    first: dict[str, Operation] = {}
    for op in plan.operations:
        if op.kind in _DRAINED:
            first.setdefault(op.subject, op)
    for fluid, op in first.items():
        if items := plan.machine.fluids[fluid].renew:
            yield Renewed(fluid, op, items)
