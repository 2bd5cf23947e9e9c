"""A picture of one joint, its fasteners numbered in the order of tightening or loosening."""

from __future__ import annotations

from sequencer.document.clean import clean
from sequencer.errors import SequencerError
from sequencer.graph.said import joint_words
from sequencer.machine.model import Joint, Machine
from sequencer.plan.closing.tightening import order_of
from sequencer.torque.tightening.bolt_picture import order_picture


def joint_picture(machine: Machine, joint: Joint, *, loosening: bool = False) -> str:
    """The picture as SVG text; the line under it says whose order it is.

    Raises:
        SequencerError: The file tells no order or no places for the joint's fasteners, or ``loosening`` is
            asked of fewer than six.
    """
    order = order_of(joint)
    where = f"{joint.place}:{joint.place.column}: `{joint.path}`"
    if order is None or not order.pictured:
        raise SequencerError(
            f"{where}: nothing tells {'the order of its fasteners' if order is None else 'where they sit'}",
            "write at: [[x, y], …] with a place in mm for each of three or more",
        )
    if loosening and not order.loosen:
        raise SequencerError(f"{where}: so few fasteners are loosened in any order", "leave it out")
    return order_picture(order, clean(joint_words(machine, joint.part, joint.name)), loosening=loosening)
