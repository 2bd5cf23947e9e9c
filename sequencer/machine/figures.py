"""Which fasteners want a figure on the way back: threaded ones that are not set by feel as a rule."""

from __future__ import annotations

import re
from dataclasses import replace

from sequencer.machine.model import HAND, Joint, Machine, Torque
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.torque.fasteners.threads import is_pipe_thread

LEAST_THREAD_MM = 6.0
"""Smaller threads are set by feel as a rule (common practice)."""

_LEAST_HEADS = (
    (re.compile(r"(?:12-?(?:pt|point) |bihex )?(\d+(?:\.\d+)?)(?: mm)?(?: AF)?", re.IGNORECASE), 8.0),
    (re.compile(r"allen (\d+(?:\.\d+)?)", re.IGNORECASE), 5.0),
    (re.compile(r"TX?(\d+)", re.IGNORECASE), 30.0),
    (re.compile(r"E(\d+)", re.IGNORECASE), 8.0),
)
"""Of a head, the least size that goes with such a thread: 8 mm across flats, T30 (common practice)."""

_BY_FEEL = re.compile(r"(?:PH|PZ|slot|phillips|pozi)", re.IGNORECASE)


def wants_figure(joint: Joint) -> bool:
    """Whether somebody would ask for the torque of this joint: its kind, thread and head say so.

    Clips, clamps, small screws and what is done up without a tool want none. What nobody said is no ground.
    """
    kind = kind_of_joint(joint.kind)
    if kind is None or not kind.figure or "kind" in joint.unsure:
        return False
    if joint.tool == HAND and joint.head is None and joint.thread is None:
        return False
    if joint.thread is not None and not is_pipe_thread(joint.thread):
        return joint.thread_mm is None or joint.thread_mm >= LEAST_THREAD_MM
    if kind.figure == "sized" or (joint.head and _BY_FEEL.match(joint.head)):
        return False
    return joint.head is None or _large(joint.head)


def figures_open(machine: Machine) -> Machine:
    """The machine with an open figure at each joint that wants one, where its file came out of the work.

    Whoever writes a file by hand leaves out a torque that is not wanted; on a job nobody has asked yet.
    """
    if not machine.taken_apart.order:
        return machine
    parts = {
        name: replace(part, joints={key: _asked_for(joint) for key, joint in part.joints.items()})
        for name, part in machine.parts.items()
    }
    fluids = {
        name: replace(fluid, plug=_asked_for(fluid.plug)) if fluid.plug else fluid
        for name, fluid in machine.fluids.items()
    }
    return replace(machine, parts=parts, fluids=fluids)


def _asked_for(joint: Joint) -> Joint:
    settled = joint.torque is not None or joint.by_hand is not None or joint.together.tool == HAND
    return joint if settled or not wants_figure(joint) else replace(joint, torque=Torque((), joint.place))


def _large(head: str) -> bool:
    for pattern, least in _LEAST_HEADS:
        if match := pattern.fullmatch(head.strip()):
            return float(match[1]) >= least
    return True
