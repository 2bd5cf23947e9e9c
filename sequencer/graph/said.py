"""What operations and things are called: below the job, whose answers name them as every view does."""

from __future__ import annotations

from sequencer.graph.operations import Kind, Operation, joint_of
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine, Subject

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


def part_words(machine: Machine, part: str) -> str:
    """A part as a person says it, or the fluid whose drain is meant."""
    known = machine.parts.get(part) or machine.fluids[part]
    return name_of(part, known.label)


def joint_words(machine: Machine, part: str, joint: str) -> str:
    """A joint with its part: ``Water pump: lower bolts``."""
    label = machine.joint(part, joint).label
    return f"{part_words(machine, part)}: {name_of(joint, label)}"


def path_words(machine: Machine, path: str) -> str:
    """A part, or ``part/joint`` with its part, as a person says it."""
    where = Subject(path)
    return joint_words(machine, where.part, where.joint) if where.joint else part_words(machine, where.part)


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
    if joint is None or not joint.left_hand or operation.kind is Kind.SEAL or operation.again:
        return ""
    return f"(left-hand thread: turn it {'clockwise' if operation.kind in _UNDOING else 'anticlockwise'})"
