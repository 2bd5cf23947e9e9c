"""How what was undone is done up again: what answers to it, from where and with what, and its torque."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from sequencer.graph.derive import SLACKENING
from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import HAND, Joint

BACK = {
    Kind.TASK: Kind.RESTORE,
    Kind.DRAIN: Kind.FILL,
    Kind.SLACKEN: Kind.TIGHTEN,
    Kind.LOOSEN: Kind.SEAT,
    Kind.UNDO: Kind.FASTEN,
    Kind.MOVE_ASIDE: Kind.MOVE_BACK,
    Kind.REMOVE: Kind.FIT,
    Kind.RESTORE: Kind.TASK,
}
"""What answers to each kind on the way back; a crack is answered by a torque or a retightening."""

TORQUE_SECONDS_EACH = Fraction(10)
"""Seconds a fastener and stage with a torque wrench (common practice)."""

TORQUE_DRIVE = "torque-wrench"
"""The drive that the sockets of a torque wrench share: changing one is a swap."""


def torque_tool(tool: str) -> str:
    """The name of a torque wrench with ``tool`` on it."""
    return TORQUE_DRIVE if tool == HAND else f"{TORQUE_DRIVE}+{tool}"


def tools_in(tool: str) -> tuple[str, ...]:
    """What a tool is made up of: itself, or a torque wrench and what is on it."""
    wrench, plus, bit = tool.partition("+")
    return (wrench, bit) if plus and wrench == TORQUE_DRIVE else (tool,)


def torquing(operation: Operation, joint: Joint) -> Operation:
    """The tightening of ``joint`` to its torque, where ``operation`` works on it now.

    Of an open figure only the asking is planned: it takes no time, with the tool that is in hand anyway.
    Where the joint was cracked, that is its retightening.
    """
    assert joint.torque is not None
    seconds = TORQUE_SECONDS_EACH * joint.count * len(joint.torque.stages)
    if joint.torque.open and operation.kind is Kind.CRACK:
        seconds = operation.seconds
    return replace(
        operation,
        kind=Kind.TORQUE,
        position=joint.torqued_from,
        tool=torqued_with(joint),
        seconds=seconds,
        place=joint.torque.place,
    )


def torqued_with(joint: Joint) -> str:
    """What is in hand at the torque of a joint: a torque wrench; its own tool where the figure is open."""
    own = joint.together
    if joint.torque is not None and joint.torque.open:
        return own.tool
    return torque_tool(own.socket)


def together(operation: Operation, joint: Joint) -> Operation:
    """What answers to the undoing, slackening or cracking of ``joint``: from where and with what it is done.

    A slackened joint takes the same shares of its time on both ways; a cracking its own.
    """
    own, kind = joint.together, BACK.get(operation.kind, Kind.RETIGHTEN)
    seconds = {Kind.FASTEN: own.seconds, Kind.TIGHTEN: own.seconds * SLACKENING}.get(kind, operation.seconds)
    tool = own.socket if kind is Kind.RETIGHTEN else own.tool
    return replace(operation, kind=kind, position=own.position, tool=tool, seconds=seconds)
