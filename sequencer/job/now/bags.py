"""Bags: every joint that comes undone has one with a number, so that no fastener is lost or mixed up.

One bag for each joint, numbered in the order in which the plan undoes them: the numbers on the bench then run
as the work did. A joint keeps its number for the whole job. What leaves nothing loose (a connector, a hose, a
hook) needs no bag; what is found on the way gets the next number that is free.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sequencer.graph.operations import Kind, Op
from sequencer.machine.model import Joint, Machine
from sequencer.machine.trade.kinds import kind_of_joint


@dataclass(frozen=True)
class Bag:
    """One bag: its number and the joint whose fasteners are in it."""

    number: int
    joint: str


def needs_bag(joint: Joint) -> bool:
    """Whether undoing the joint leaves something to keep."""
    kind = kind_of_joint(joint.kind)
    return kind is None or kind.loose


def numbered(
    machine: Machine, order: Iterable[str], known: Mapping[str, int] | None = None
) -> dict[str, Bag]:
    """The bag of each joint that ``order`` undoes, by joint path.

    Args:
        machine: The machine.
        order: Operations in the order of work.
        known: Numbers given before, by joint: they stay.
    """
    given = dict(known or {})
    following = max(given.values(), default=0) + 1
    bags: dict[str, Bag] = {path: Bag(number, path) for path, number in given.items()}
    for name in order:
        op, path = Op(name), Op(name).subject
        if op.kind is not Kind.UNDO or path in bags or op.joint not in machine.parts[op.part].joints:
            continue
        if needs_bag(machine.joint(op.part, op.joint)):
            bags[path] = Bag(following, path)
            following += 1
    return bags
