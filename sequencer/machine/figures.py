"""Which fasteners want a figure on the way back: threaded ones that are not set by feel as a rule."""

from __future__ import annotations

import re

from sequencer.machine.kinds import kind_of_joint
from sequencer.machine.model import HAND, Joint
from sequencer.torque.errors import FastenerError
from sequencer.torque.threads import is_pipe_thread, parse_thread

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
        try:
            return parse_thread(joint.thread).diameter_mm >= LEAST_THREAD_MM
        except FastenerError:
            return True
    if kind.figure == "sized" or (joint.head and _BY_FEEL.match(joint.head)):
        return False
    return joint.head is None or _large(joint.head)


def _large(head: str) -> bool:
    for pattern, least in _LEAST_HEADS:
        if match := pattern.fullmatch(head.strip()):
            return float(match[1]) >= least
    return True
