"""Matched pairs of labels for what could be put back in the wrong place.

Two connectors that hang side by side, two hoses of one size, two bolts with the same head and thread and
another length: whoever puts them back after ten days has to guess. One label goes on each side of such a
joint before it is undone, the same letter on both. What can't be confused gets none, so that labels are
read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count, product
from string import ascii_uppercase

from sequencer.graph.operations import Kind, Op
from sequencer.machine.model import Joint, Machine
from sequencer.plan.looks.looks_kinds import kind_name

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
        why: In words.
    """

    mark: str
    joint: str
    like: tuple[str, ...]
    why: str


def labels(
    machine: Machine, order: Iterable[str], known: Mapping[str, str] | None = None
) -> dict[str, Label]:
    """The labels for the joints that ``order`` undoes, by joint path, marked in that order.

    Args:
        machine: The machine.
        order: Operations in the order of work.
        known: Marks given before, by joint: they stay.
    """
    undone = list(dict.fromkeys(_joints(machine, order)))
    given = dict(known or {})
    fresh = _marks(set(given.values()))
    found: dict[str, Label] = {}
    for joint in undone:
        like, why = _mistaken(joint, undone)
        if not like:
            continue
        mark = given.get(joint.path) or next(fresh)
        found[joint.path] = Label(mark, joint.path, tuple(other.path for other in like), why)
    return found


def _joints(machine: Machine, order: Iterable[str]) -> Iterator[Joint]:
    for name in order:
        op = Op(name)
        part, own = op.part, op.joint
        if op.kind is Kind.UNDO and part in machine.parts and own in machine.parts[part].joints:
            yield machine.joint(part, own)


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
            and (other.head, _diameter(other)) == (joint.head, _diameter(joint))
            and _length(other) != _length(joint)
        ]
        if like:
            return like, "the same head and thread, another length"
    return [], ""


def _diameter(joint: Joint) -> str:
    """``M8x1.25`` of ``M8x1.25x40``: the thread without its length."""
    pieces = _pieces(joint)
    keep = 2 if len(pieces) > 1 and _is_pitch(pieces[1]) else 1
    return "x".join(pieces[:keep])


def _length(joint: Joint) -> str | None:
    """The last number of ``M8x40`` or ``M8x1.25x40``; None where the file tells none."""
    pieces = _pieces(joint)
    return pieces[-1] if len(pieces) > 1 and not _is_pitch(pieces[-1]) else None


def _pieces(joint: Joint) -> list[str]:
    return (joint.thread or "").replace("×", "x").replace(" ", "").split("x")


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
