"""The words of a picture of what blocks what: why something waits, and what for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sequencer.document.barring.things import Option
from sequencer.graph.operations import Because, Clause, Kind, Operation
from sequencer.graph.said import joint_words, part_words, subject_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Joint, Machine
from sequencer.machine.trade.relations import Relation

_PHRASES = {
    Because.HELD: "held by",
    Because.WET: "would spill",
    Because.RENEWED: "with it",
    Because.AGAIN: "again after",
}
"""Why, before the name of what is waited for; what is not here comes after it, and that is all."""

_EASED = {Kind.LOOSEN: " (loose)", Kind.MOVE_ASIDE: " (aside)"}


def phrase_of(clause: Clause) -> tuple[str, str]:
    """Why something waits, before the name of what it waits for; and the head of the arrow from there."""
    kind = clause.reason.kind
    if isinstance(kind, Relation):
        return kind.phrase, kind.arrow.get("arrowhead", "normal")
    return _PHRASES.get(kind, "after"), "none" if kind is Because.RENEWED else "normal"


def key_of(operation: Operation) -> str:
    """The key of the thing that an operation is done to."""
    if operation.part is not None:
        return operation.part
    kind = Kind.TASK if operation.kind is Kind.RESTORE else operation.kind
    return kind.of(operation.subject)


def ways_of(clause: Clause, known: Mapping[str, Operation]) -> dict[tuple[str, str | None], list[Operation]]:
    """The ways of meeting a clause, by the thing and its joint: the operations of each that are ``known``."""
    ways: dict[tuple[str, str | None], list[Operation]] = {}
    for operation in (known[name] for name in clause.any_of if name in known):
        ways.setdefault((key_of(operation), operation.joint), []).append(operation)
    return ways


def clause_words(machine: Machine, clause: Clause, known: Mapping[str, Operation], *, of: str) -> str:
    """What a clause has a part wait for, and why: ``behind Belt guard``; empty: only of its own."""
    ways = ways_of(clause, known)
    if all(key == of for key, _ in ways):
        return ""
    said = [asked(machine, where, some, True, of=of).words for where, some in ways.items()]
    return f"{phrase_of(clause)[0]} {' or '.join(dict.fromkeys(said))}"


def asked(
    machine: Machine, where: tuple[str, str | None], operations: Sequence[Operation], taken: bool, *, of: str
) -> Option:
    """A way of meeting what is asked for by ``of``; ``operations`` are those that would do, least first."""
    key, joint = where
    least = operations[0]
    if least.part is not None and joint is not None:
        if key == of:
            words = name_of(joint, machine.joint(key, joint).label)
        else:
            words = joint_words(machine, least.part, joint)
        if all(op.kind is Kind.CRACK for op in operations):
            words += " cracked"
    elif least.part is not None:
        words = part_words(machine, least.part) + _EASED.get(least.kind, "")
    else:
        words = subject_words(machine, least, volume=False)
    return Option(key, joint, words, taken)


def row_words(joint: Joint, own: Iterable[str] = ()) -> str:
    """``10 × bolts T55, behind clamp``; ``own`` is what it waits for on its own part."""
    count = f"{joint.count} × " if joint.count > 1 else ""
    size = f" {joint.head}" if joint.head else ""
    return ", ".join((f"{count}{name_of(joint.name, joint.label)}{size}", *own))
