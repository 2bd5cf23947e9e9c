"""How times, targets, fasteners and tools are said: the same words in every view."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from sequencer.graph.fastening import TORQUE_DRIVE, tools_in
from sequencer.graph.said import part_words
from sequencer.graph.targets import Target
from sequencer.machine.called import many, name_of
from sequencer.machine.model import HAND, Joint, Machine
from sequencer.wording import listing

_UNSAID = frozenset({"fastener", "fit"})
"""Kinds of joint that say no more than the joint's name does."""


def duration(seconds: Fraction | float) -> str:
    """``45 s``, ``3 min``, ``1 h 05 min``: as exact as a person needs."""
    total = round(float(seconds))
    if total < 90:
        return f"{total} s"
    minutes = round(total / 60)
    hours, rest = divmod(minutes, 60)
    if hours and not rest:
        return f"{hours} h"
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def plural(count: int, one: str, many: str | None = None) -> str:
    """``1 step``, ``2 steps``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def target_words(machine: Machine, target: Target) -> str:
    """``Cylinder head off``, ``Motor loose``, ``Mount within reach``."""
    if target.state is None:
        return f"{part_words(machine, target.part)} within reach"
    return f"{part_words(machine, target.part)} {target.state.word}"


def fastening(joint: Joint) -> str:
    """Count, kind and size: ``4 bolts M6, head 10``; a kind that the joint's own name says is left out."""
    kind = joint.kind.replace("-", " ")
    said = name_of(joint.name, joint.label).casefold().split()
    known = joint.kind in _UNSAID or not {kind, many(kind)}.isdisjoint(said)
    sizes = [joint.thread or "", f"head {joint.head}" if joint.head else ""]
    if known:
        size = listing(filter(None, sizes))
        return " × ".join(filter(None, (str(joint.count) if joint.count > 1 else "", size)))
    first = plural(joint.count, kind, many(kind)) if joint.count > 1 else kind
    return ", ".join(piece for piece in (f"{first} {sizes[0]}".strip(), sizes[1]) if piece)


def tool_words(machine: Machine, tool: str) -> str:
    """A tool by its label: ``by hand``, ``10 mm socket``, ``torque wrench with 10 mm socket``."""
    if tool == HAND:
        return "by hand"
    first, *bit = tools_in(tool)
    if first == TORQUE_DRIVE:
        return " with ".join(("torque wrench", *(tool_words(machine, one) for one in bit)))
    return machine.tools[tool].label if tool in machine.tools else tool


def laid_out(machine: Machine, tools: Iterable[str]) -> list[str]:
    """What to lay out for ``tools``: a torque wrench once, and what goes on it beside it."""
    found: dict[str, None] = {}
    for tool in tools:
        found.update((tool_words(machine, piece), None) for piece in tools_in(tool) if piece != HAND)
    return list(found)
