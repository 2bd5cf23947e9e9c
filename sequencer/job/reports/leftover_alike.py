"""Whether fasteners that lie on the bench are like those of a joint: by thread, length, head, kind, count."""

from __future__ import annotations

import re
from fractions import Fraction

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.model import Joint
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import parse_thread

_LENGTH = re.compile(r"\b(\d+)\s*mm long\b")

USUAL_HEADS = {
    4: ("7",), 5: ("8",), 6: ("10",), 7: ("11",), 8: ("13", "12"), 10: ("16", "17", "15"), 12: ("18", "19"),
    14: ("21", "22"), 16: ("24",), 18: ("27",), 20: ("30",),
}  # fmt: skip
"""Across flats that go with a metric thread: ISO 4017 and 4032, DIN 933 and 934, and what cars have beside
them (common practice)."""

CROSS_SIZES = ((2, 0), (3, 1), (5, 2), (6, 3), (10, 4))
"""Up to which diameter a cross recess is of which size: ISO 7045 (from memory)."""


def likeness_of(joint: Joint, like: JointSaid) -> tuple[float, list[str]] | None:
    """How well the fasteners agree, and in what; None where they can't be the same."""
    weight, alike = 0.0, []
    for what, told in (
        ("thread", _thread(joint, like)),
        ("length", _length(joint, like)),
        ("head", _head(joint, like)),
        ("class", _same(joint.property_class, like.property_class, (1.0, -3.0))),
        ("kind", _kind(joint, like)),
    ):
        if told is None:
            return None
        weight += told
        if told >= _AGREES and what != "kind":
            alike.append(what)
    return weight, alike


_AGREES = 1.0
"""From this weight on something is said to agree."""


def _same(own: str | None, said: str | None, weights: tuple[float, float]) -> float:
    if not own or not said:
        return 0.0
    return weights[0] if own.casefold() == said.casefold() else weights[1]


def _thread(joint: Joint, like: JointSaid) -> float | None:
    if like.thread is None:
        return 0.0
    if joint.thread is None:
        return _by_head(joint.head, like.thread)
    try:
        own, said = parse_thread(joint.thread), parse_thread(like.thread)
    except FastenerError:
        return _same(joint.thread, like.thread, (4.0, -4.0))
    if own.name == said.name:
        return 4.0
    return -3.0 if own.diameter_mm == said.diameter_mm else None


def _by_head(head: str | None, thread: str) -> float | None:
    """A joint without a thread in the file: its head says what it may be."""
    try:
        diameter = parse_thread(thread).diameter_mm
    except FastenerError:
        return 0.0
    if head is not None and (cross := _CROSS.fullmatch(head)):
        size = next((size for most, size in CROSS_SIZES if diameter <= most), CROSS_SIZES[-1][1])
        off = abs(int(cross[1]) - size)
        return None if off > 1 else -float(off)
    if head is None or not head.isdecimal():
        return 0.0
    usual = USUAL_HEADS.get(round(diameter))
    return (
        None
        if usual and abs(int(head) - int(usual[0])) > _FAR_HEAD
        else (0.9 if usual and head in usual else -1)
    )


_CROSS = re.compile(r"P[HZ](\d)", re.IGNORECASE)
_FAR_HEAD = 4
"""A head that is farther from the usual one is of another thread."""


def _length(joint: Joint, like: JointSaid) -> float | None:
    own = length_of(joint)
    if own is None or like.length_mm is None:
        return 0.0
    off = abs(own - like.length_mm)
    if off == 0:
        return 3.0
    return 0.5 if off <= _MEASURED else -3.5


_MEASURED = 2
"""Millimetres that a length may be off that somebody held a rule to."""


def length_of(joint: Joint) -> Fraction | None:
    """The length of a joint's fasteners under their heads, in mm, where the file says it, be it in a note."""
    if joint.length_mm is not None:
        return joint.length_mm
    noted = (_LENGTH.search(text) for text in (*joint.notes.way_in, *joint.notes.way_back))
    return next((Fraction(match[1]) for match in noted if match), None)


def _head(joint: Joint, like: JointSaid) -> float | None:
    if like.head is None or joint.head is None:
        if like.head and like.head.isdecimal() and joint.thread and _by_head(like.head, joint.thread) is None:
            return None
        return 0.0
    if joint.head.casefold() == like.head.casefold():
        return 2.0
    return None if "head" not in joint.unsure else -1.0


def _kind(joint: Joint, like: JointSaid) -> float | None:
    """A nut is no bolt; a screw may be called one."""
    own, said = joint.kind, like.kind
    if own == "nut" and like.length_mm is not None:
        return None
    known = kind_of_joint(own)
    threaded = own in _THREADED or joint.thread is not None or (known is not None and known.name not in _KEPT)
    if said is None or said == "fastener":
        sized = like.thread is not None or like.head is not None
        return None if sized and (not threaded or own in _NEVER) else 0.0
    if own == said:
        return 1.5
    pair = {own, said}
    if pair <= {"bolt", "screw", "stud"} or "fastener" in pair or "kind" in joint.unsure:
        return -0.5
    return None


_THREADED = frozenset({"bolt", "nut", "screw", "stud", "plug", "banjo", "union", "fastener"})
_NEVER = frozenset(
    {"clip", "circlip", "tie", "strap", "pin", "ring", "key", "bond", "spring", "rivet", "latch", "hook"}
)
_KEPT = _NEVER | {"clamp"}


def count_weight(joint: Joint, count: int) -> tuple[float, bool]:
    """How well a count goes with a joint, and whether it is all of it."""
    if count == joint.count:
        return 1.5, True
    return (0.5, False) if count < joint.count else (-2.5, False)
