"""How operations, times and things are said: the same words in every view."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from sequencer.graph.fastening import TORQUE_DRIVE, tools_in
from sequencer.graph.operations import Kind, Operation, joint_of
from sequencer.graph.targets import Target
from sequencer.machine.called import many
from sequencer.machine.model import HAND, Joint, Machine
from sequencer.torque.threads import is_left_hand

VERBS = {
    Kind.TASK: "",
    Kind.DRAIN: "Drain",
    Kind.CRACK: "Crack",
    Kind.SLACKEN: "Slacken",
    Kind.LOOSEN: "Ease",
    Kind.UNDO: "Undo",
    Kind.MOVE_ASIDE: "Move aside",
    Kind.REMOVE: "Take off",
    Kind.SEAL: "Seal",
    Kind.RESTORE: "",
    Kind.FILL: "Fill",
    Kind.CLOSE: "Close the drain of",
    Kind.LEAK_CHECK: "Look for leaks:",
    Kind.TORQUE: "Torque",
    Kind.RETIGHTEN: "Tighten fully",
    Kind.TIGHTEN: "Tighten",
    Kind.SEAT: "Seat",
    Kind.FASTEN: "Fasten",
    Kind.MOVE_BACK: "Move back",
    Kind.FIT: "Fit",
}
"""One verb for each kind of operation; tasks have words of their own."""

_AFTER = {Kind.LOOSEN: "loose", Kind.SEAT: "back in its place"}

_UNDOING = frozenset({Kind.DRAIN, Kind.CRACK, Kind.SLACKEN, Kind.UNDO})

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


def capital(text: str) -> str:
    """With its first letter as at the head of a sentence."""
    return text[:1].upper() + text[1:]


def plural(count: int, one: str, many: str | None = None) -> str:
    """``1 step``, ``2 steps``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def name_of(name: str, label: str | None) -> str:
    """A thing by its label, or by its name with the dashes taken out."""
    return label or name.replace("-", " ").replace("_", " ")


def part_words(machine: Machine, part: str) -> str:
    """A part as a person says it, or the fluid whose drain is meant."""
    known = machine.parts.get(part) or machine.fluids[part]
    return name_of(part, known.label)


def joint_words(machine: Machine, part: str, joint: str) -> str:
    """A joint with its part: ``Water pump: lower bolts``."""
    label = machine.joint(part, joint).label
    return f"{part_words(machine, part)}: {name_of(joint, label)}"


def target_words(machine: Machine, target: Target) -> str:
    """``Cylinder head off``, ``Motor loose``, ``Mount within reach``."""
    if target.state is None:
        return f"{part_words(machine, target.part)} within reach"
    return f"{part_words(machine, target.part)} {target.state.word}"


def subject_words(machine: Machine, operation: Operation, *, volume: bool = True) -> str:
    """What an operation is done to; a fluid with its ``volume``, where one is drained or filled."""
    if operation.part is not None and operation.joint is not None:
        return joint_words(machine, operation.part, operation.joint)
    if operation.part is not None:
        return part_words(machine, operation.part)
    if operation.kind in (Kind.TASK, Kind.RESTORE):
        task = machine.tasks[operation.subject]
        if operation.kind is Kind.RESTORE and task.undo is not None:
            return task.undo.label
        return name_of(task.name, task.label)
    if volume and operation.kind not in (Kind.LEAK_CHECK, Kind.CLOSE) and not operation.again:
        return fluid_words(machine, operation.subject)
    return name_of(operation.subject, machine.fluids[operation.subject].label)


def fluid_words(machine: Machine, name: str) -> str:
    """A fluid and how much of it: ``Coolant, 7.5 L``; waste is said."""
    fluid = machine.fluids[name]
    words = (name_of(name, fluid.label), fluid.volume_text, "" if fluid.fill else "waste")
    return ", ".join(word for word in words if word)


def sentence(machine: Machine, operation: Operation, *, volume: bool = True) -> str:
    """An operation in words: ``Undo Water pump: lower bolts``; a left-hand thread is told."""
    subject = subject_words(machine, operation, volume=volume)
    after = "once more" if operation.again else _AFTER.get(operation.kind, "")
    words = [VERBS[operation.kind], subject, after, _turned(machine, operation)]
    return " ".join(word for word in words if word)


def _turned(machine: Machine, operation: Operation) -> str:
    """Which way a left-hand thread goes, wherever it is turned; empty for all others."""
    joint = joint_of(machine, operation)
    if (
        joint is None
        or operation.kind is Kind.SEAL
        or operation.again
        or not joint.thread
        or not is_left_hand(joint.thread)
    ):
        return ""
    return f"(left-hand thread: turn it {'clockwise' if operation.kind in _UNDOING else 'anticlockwise'})"


def fastening(joint: Joint) -> str:
    """Count, kind and size: ``4 bolts M6, head 10``; a kind that the joint's own name says is left out."""
    kind = joint.kind.replace("-", " ")
    said = name_of(joint.name, joint.label).casefold().split()
    known = joint.kind in _UNSAID or not {kind, many(kind)}.isdisjoint(said)
    sizes = [joint.thread or "", f"head {joint.head}" if joint.head else ""]
    if known:
        pieces = [size for size in sizes if size]
        count = f"{joint.count} × " if joint.count > 1 else ""
        return (count + ", ".join(pieces)).removesuffix(" × ")
    first = plural(joint.count, kind, many(kind)) if joint.count > 1 else kind
    return ", ".join(piece for piece in (f"{first} {sizes[0]}".strip(), sizes[1]) if piece)


def tool_words(machine: Machine, tool: str) -> str:
    """A tool by its label: ``by hand``, ``10 mm socket``, ``torque wrench with 10 mm socket``."""
    if tool == HAND:
        return "by hand"
    if tool == TORQUE_DRIVE:
        return "torque wrench"
    if tool.startswith(f"{TORQUE_DRIVE}+"):
        return f"torque wrench with {tool_words(machine, tool.removeprefix(f'{TORQUE_DRIVE}+'))}"
    return machine.tools[tool].label if tool in machine.tools else tool


def laid_out(machine: Machine, tools: Iterable[str]) -> list[str]:
    """What to lay out for ``tools``: a torque wrench once, and what goes on it beside it."""
    found: dict[str, None] = {}
    for tool in tools:
        found.update((tool_words(machine, piece), None) for piece in tools_in(tool) if piece != HAND)
    return list(found)


def listing(items: Iterable[str], most: int | None = None) -> str:
    """``a, b, c``, or ``a, b and 3 more``."""
    items = list(items)
    if most is not None and len(items) > most + 1:
        return f"{', '.join(items[:most])} and {len(items) - most} more"
    return ", ".join(items)
