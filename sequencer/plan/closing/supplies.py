"""What a job uses up: the things that are fitted new."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.model import Machine, Renewal, Subject
from sequencer.plan.plan import Plan

_MOVED = frozenset({Kind.MOVE_ASIDE, Kind.REMOVE, Kind.FIT, Kind.MOVE_BACK})
_OPENED = frozenset({Kind.UNDO, Kind.FASTEN})
_DRAINED = frozenset({Kind.DRAIN, Kind.CLOSE})


@dataclass(frozen=True)
class Renewed:
    """What is fitted new at one part or drain.

    Attributes:
        owner: The part, or the fluid of the drain.
        operation: The first of the plan that opens it or, on the way back, needs what is new.
        items: What is not used twice there.
    """

    owner: str
    operation: Operation
    items: tuple[Renewal, ...]


def renewed(plan: Plan) -> tuple[Renewed, ...]:
    """What is fitted new at every part whose faces are parted, in the order of the plan; then at drains.

    They are where it comes off, moves aside, or has all its joints undone; a part that is only loosened
    keeps its seals, and one of which some joint stays done up may keep them.
    """
    return renewed_in(plan.machine, plan.operations, plan.taken_off)


def renewed_in(
    machine: Machine, operations: Collection[Operation], taken_off: Iterable[str]
) -> tuple[Renewed, ...]:
    """The same of operations in their order, where those in ``taken_off`` are what the way in does."""
    return (*_at_parts(machine, operations, {*taken_off}), *_at_drains(machine, operations))


def by_experience(jobs: Iterable[TypicalJob], known: Iterable[str]) -> tuple[tuple[str, TypicalJob], ...]:
    """(words, job) for what experience renews with these jobs, less what is renewed anyway.

    ``known`` is what is renewed anyway, each the item with what it belongs to behind a slash. Words say the
    same where the item's last word is among theirs, and theirs are all of the item or of what it belongs to:
    ``Head bolts: once only`` is the ``Cylinder-head bolt``, ``Water pump`` is no ``Water-pump gasket``.
    """
    found: dict[str, TypicalJob] = {}
    pairs = [(_stems(Subject(one).part), _stems(one)) for one in known]
    for job in jobs:
        for words in job.renew:
            said = {*_stems(re.split(r"[:;,(]", words, maxsplit=1)[0])} or {words}
            if not any(item and item[-1] in said and said <= {*all_of} for item, all_of in pairs):
                found.setdefault(words, job)
    return tuple(found.items())


_NO_MATTER = frozenset(["a", "an", "and", "the", "its", "with", "new", "of", "both", "all", "set"])


def _stems(text: str) -> list[str]:
    """The words of a text in their order, one and several of a thing alike."""
    words = re.findall(r"\w+", text.casefold())
    return [re.sub(r"(?<=[^s])s$", "", word) for word in words if word not in _NO_MATTER]


def renewals(plan: Plan) -> tuple[tuple[str, Renewal], ...]:
    """(part or fluid, renewal) for all that is fitted new."""
    return tuple((one.owner, item) for one in renewed(plan) for item in one.items)


def _at_parts(machine: Machine, operations: Iterable[Operation], taken: Collection[str]) -> Iterator[Renewed]:
    found = set[str]()
    for op in operations:
        if op.part is None or op.part in found or op.kind not in _MOVED | _OPENED:
            continue
        part = machine.parts[op.part]
        moved = any(kind.of(part.name) in taken for kind in _MOVED)
        undone = all(Kind.UNDO.of(joint.path) in taken for joint in part.joints.values())
        if part.renew and (op.kind in _MOVED or (undone and not moved)):
            found.add(op.part)
            yield Renewed(op.part, op, part.renew)


def _at_drains(machine: Machine, operations: Iterable[Operation]) -> Iterator[Renewed]:
    first: dict[str, Operation] = {}
    for op in operations:
        if op.kind in _DRAINED:
            first.setdefault(op.subject, op)
    for fluid, op in first.items():
        if items := machine.fluids[fluid].renew:
            yield Renewed(fluid, op, items)
