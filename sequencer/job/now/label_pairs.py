"""Matched pairs of labels for what could be put back in the wrong place.

Two connectors that hang side by side, two hoses of one size, two bolts with the same head and thread and
another length: whoever puts them back after ten days has to guess. One label goes on each side of such a
joint before it is undone, the same letter on both. What can't be confused gets none, so that labels are
read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from itertools import count, product
from string import ascii_uppercase

from sequencer.job.now.given import undone_joints
from sequencer.machine.model import Joint, Machine
from sequencer.plan.looks.looks_kinds import kind_name
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import parse_thread

LIKE_EACH_OTHER = frozenset({"connector", "terminal", "hose", "coupling", "union", "cable"})
"""Kinds of which two at one position are easily swapped. Common practice."""

FASTENERS = frozenset({"bolt", "screw", "stud", "banjo", "nut", "fastener"})


@dataclass(frozen=True)
class Label:
    """A pair of labels with the same mark, one on each side of the joint.

    Attributes:
        mark: What is written on both, for example ``C``; with several in one joint ``C1`` to ``C4``.
        joint: The joint's path.
        like: The other joints that it could be taken for.
        why: In words. Empty, and nothing that it is like, where the file says so no more.
    """

    mark: str
    joint: str
    like: tuple[str, ...] = ()
    why: str = ""


def labels(
    machine: Machine, order: Iterable[str], known: Mapping[str, str] | None = None
) -> dict[str, Label]:
    """The labels for the joints that ``order`` undoes, by joint path, marked in that order.

    Args:
        machine: The machine.
        order: Operations in the order of work.
        known: Marks given before, by joint: they stay. Empty: it came undone without, and gets none.
    """
    undone = list(dict.fromkeys(_joints(machine, order)))
    given = dict(known or {})
    fresh = _marks(set(given.values()))
    found: dict[str, Label] = {}
    for joint in undone:
        like, why = _mistaken(joint, undone)
        if not like or given.get(joint.path) == "":
            continue
        mark = given.get(joint.path) or next(fresh)
        found[joint.path] = Label(mark, joint.path, tuple(other.path for other in like), why)
    return found


def _joints(machine: Machine, order: Iterable[str]) -> Iterator[Joint]:
    for path in undone_joints(order):
        if (joint := machine.own_joint(path)) is not None:
            yield joint


def _mistaken(joint: Joint, among: Iterable[Joint]) -> tuple[list[Joint], str]:
    """What a joint could be taken for, and why; a joint of several like ends could be taken for itself."""
    kind = kind_name(joint)
    if kind in LIKE_EACH_OTHER:
        like = [
            other
            for other in among
            if other is not joint and kind_name(other) == kind and other.position == joint.position
        ]
        if like or joint.count > 1:
            return like or [joint], f"{kind}s at the same place"
    if kind in FASTENERS and joint.head and joint.thread:
        like = [
            other
            for other in among
            if other is not joint
            and other.head == joint.head
            and _thread(other)[0] == _thread(joint)[0]
            and _thread(other) != _thread(joint)
        ]
        if like:
            return like, "the same head and thread, another length"
    return [], ""


def _thread(joint: Joint) -> tuple[str, Fraction | None]:
    """The thread, and how long its fasteners are where the file tells: under ``length``, or as ``M8x40``."""
    *pieces, last = (joint.thread or "").replace("×", "x").replace(" ", "").split("x")
    if not pieces or _is_pitch(last) or not last.isdecimal():
        pieces, last = [*pieces, last], ""
    text = "x".join(pieces)
    with suppress(FastenerError):
        text = parse_thread(text).name
    return text, joint.length_mm if joint.length_mm is not None or not last else Fraction(last)


def _is_pitch(text: str) -> bool:
    """Pitches of metric threads end at 6 mm (ISO 261); bolts are longer."""
    try:
        return float(text) <= 6
    except ValueError:
        return False


def _marks(taken: set[str]) -> Iterator[str]:
    """``A`` to ``Z``, then ``AA``, ``AB`` … ``AAA`` without end; no I and no O, which are read as figures."""
    letters = [letter for letter in ascii_uppercase if letter not in "IO"]
    for length in count(1):
        for spelt in product(letters, repeat=length):
            if (mark := "".join(spelt)) not in taken:
                yield mark
