"""What a part is moved for, and what it closes off when it is fitted again: half a line each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from sequencer.graph.kept import without_kept_order
from sequencer.graph.operations import REACHES, Kind, Operation
from sequencer.graph.said import joint_words, part_words, sentence
from sequencer.machine.model import Machine
from sequencer.plan.order.replay import waiting
from sequencer.plan.plan import Refit, Teardown
from sequencer.wording import and_more, listing

MOST = 2
"""Things named at one step; the rest is counted."""


def purposes(plan: Teardown) -> dict[int, str]:
    """``to reach Cylinder head: bolts`` for each step that moves a part, by its number.

    What waits for the step alone counts, not what waits for that in turn; a target waits for nothing.
    """
    served = _served(plan)
    return {
        step.number: words
        for step in plan.steps
        if step.operation.kind in REACHES and (words := _words(plan, served[step.operation.name]))
    }


def closings(plan: Refit) -> dict[int, str]:
    """``closes off Cam cover: bolts`` for each step that puts a part back, by its number."""
    into = plan.teardown
    served = _served(into)
    kinds = {Kind.FIT: Kind.REMOVE, Kind.MOVE_BACK: Kind.MOVE_ASIDE}
    found = {}
    for step in plan.steps:
        off = kinds.get(step.operation.kind)
        behind = served.get(off.of(step.operation.subject), ()) if off else ()
        names = list(dict.fromkeys(name for _, name in _said(into, behind)))
        if names:
            found[step.number] = f"closes off {listing(names, MOST)}"
    return found


def _served(plan: Teardown) -> dict[str, list[Operation]]:
    """For each operation that moves a part, what waits for it alone."""
    waits = waiting(without_kept_order(plan.graph), [operation.name for operation in plan.operations])
    by_name = {operation.name: operation for operation in plan.operations}
    return {name: _nearest(name, waits, by_name) for name, one in by_name.items() if one.kind in REACHES}


def _nearest(
    name: str, waits: Mapping[str, Sequence[str]], by_name: Mapping[str, Operation]
) -> list[Operation]:
    later = waits.get(name, ())
    beyond = {other for one in later for other in waits.get(one, ())}
    part = by_name[name].part
    return [by_name[one] for one in later if one not in beyond and by_name[one].part != part]


def _said(plan: Teardown, served: Sequence[Operation]) -> list[tuple[str, str]]:
    machine = plan.machine
    free = dict.fromkeys(part_words(machine, op.part) for op in served if op.part and op.kind in REACHES)
    work = [_work(machine, op) for op in served if op.part is None]
    said = [("to free", name) for name in free]
    said += [("to reach", name) for name in _joints(plan, [op for op in served if op.joint])]
    return said + [("for:", name) for name in work]


def _work(machine: Machine, operation: Operation) -> str:
    """A draining, or the gist of a task: its label may go on about how."""
    gist = machine.tasks[operation.subject].gist if operation.kind is Kind.TASK else None
    return gist or sentence(machine, operation, volume=False)


def _words(plan: Teardown, served: Sequence[Operation]) -> str:
    said = _said(plan, served)
    named = said if len(said) == MOST + 1 else said[:MOST]
    words = [
        f"{lead} {', '.join(name for _, name in group)}" for lead, group in groupby(named, lambda one: one[0])
    ]
    return "; ".join(words) + and_more(len(said) - len(named))


def _joints(plan: Teardown, operations: Sequence[Operation]) -> list[str]:
    """A part whose every joint in the plan is meant goes by its own name."""
    machine = plan.machine
    names: dict[str, None] = {}
    for operation in operations:
        assert operation.part is not None
        assert operation.joint is not None
        here = {op.joint for op in operations if op.part == operation.part}
        all_of_it = {op.joint for op in plan.operations if op.part == operation.part and op.joint}
        whole = len(all_of_it) > 1 and here == all_of_it
        name = (
            part_words(machine, operation.part)
            if whole
            else joint_words(machine, operation.part, operation.joint)
        )
        names[name] = None
    return list(names)
