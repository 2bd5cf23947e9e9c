"""What else belongs at a step: the author's notes, and where its time is from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sequencer.graph.fastening import tools_in
from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Step

_USUAL = frozenset({Kind.TORQUE, Kind.CLOSE, Kind.LEAK_CHECK, Kind.SEAL})
"""Operations whose time no file gives: it is always a usual one."""

_WHOLE_PARTS = frozenset({Kind.REMOVE, Kind.FIT})


def notes(plan: Plan) -> dict[int, tuple[str, ...]]:
    """The file's notes for a plan's way by step number, each at the first step that it is about."""
    shown: set[tuple[str, str]] = set()
    found: dict[int, tuple[str, ...]] = {}
    for step in plan.steps:
        fresh = [pair for pair in _notes(plan, step.operation) if pair not in shown]
        shown.update(fresh)
        if fresh:
            found[step.number] = tuple(text for _, text in fresh)
    return found


def _notes(plan: Plan, operation: Operation) -> Iterator[tuple[str, str]]:
    """Every note on where an operation is done, with what, and on what, and what each is on.

    A part's own is at its joints, too.
    """
    machine = plan.machine
    about = [(operation.position, machine.positions[operation.position].notes)]
    tools = (machine.tools.get(name) for name in tools_in(operation.tool))
    about += [(tool.name, tool.notes) for tool in tools if tool is not None]
    if operation.part is not None:
        about.append((operation.part, machine.parts[operation.part].notes))
        if operation.joint is not None:
            about.append((operation.subject, machine.joint(operation.part, operation.joint).notes))
    elif operation.kind in (Kind.TASK, Kind.RESTORE):
        about.append((operation.subject, machine.tasks[operation.subject].notes))
    else:
        about.append((operation.subject, machine.fluids[operation.subject].notes))
    yield from ((thing, text) for thing, said in about for text in said.on(back=plan.back))


def tie_of(machine: Machine, operation: Operation) -> str | None:
    """Where and how a part is held once ``operation`` has moved it aside; None for any other."""
    moves = operation.kind is Kind.MOVE_ASIDE and operation.part is not None
    return machine.parts[operation.part].tie if moves and operation.part else None


def seconds_from(machine: Machine, operation: Operation) -> str:
    """``file``, or ``default`` where the operation's time is a usual one of the trade."""
    if operation.kind in _USUAL:
        return "default"
    if operation.part is None:
        return "file"
    part = machine.parts[operation.part]
    if operation.joint is not None:
        return part.joints[operation.joint].seconds_from
    return part.seconds_from if operation.kind in _WHOLE_PARTS else "file"


def usual(plan: Plan, steps: Iterable[Step]) -> int:
    """How many of ``steps`` rest on a usual time and not on one in the file."""
    return sum(seconds_from(plan.machine, step.operation) == "default" for step in steps)
