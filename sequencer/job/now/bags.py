"""Bags: every joint that comes undone has one with a number, so that no fastener is lost or mixed up.

One bag for each joint, numbered in the order in which the plan undoes them: the numbers on the bench then run
as the work did. A joint keeps its number for the whole job: ``given`` says how. What leaves nothing loose (a
connector, a hose, a hook) needs no bag; what is found on the way gets the lowest number that nothing has.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import count

from sequencer.job.now.given import undone_joints
from sequencer.machine.model import Joint, Machine
from sequencer.machine.trade.kinds import kind_of_joint

NO_BAG = 0
"""The number of a joint that came undone and left nothing loose."""


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
        known: Numbers given before, by joint: they stay, and so does ``NO_BAG``.
    """
    given = dict(known or {})
    taken = set(given.values())
    free = (number for number in count(1) if number not in taken)
    for path in undone_joints(order):
        joint = machine.own_joint(path)
        if joint is not None and path not in given and needs_bag(joint):
            given[path] = next(free)
    return {path: Bag(number, path) for path, number in given.items() if number != NO_BAG}
