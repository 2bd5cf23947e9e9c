"""Tasks that carry parts: set up before anything that bears them is undone, put away once they are off.

A jack takes the gearbox's weight before its bolts come out, and is put away with the gearbox off. So the way
in has a ``restore T`` of its own, and the way back a ``task T`` before the gearbox goes on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product

from sequencer.graph.operations import (
    Because,
    Clause,
    FollowRule,
    Kind,
    Operation,
    OperationGraph,
    OrderRule,
    Reason,
)
from sequencer.graph.serving import putting_away
from sequencer.machine.facts.basics import Atom, State
from sequencer.machine.model import Machine, Task
from sequencer.machine.trade.kinds import Holds, kind_of_joint


def with_loads_put_down(graph: OperationGraph) -> OperationGraph:
    """The graph of a way in; a job that takes off all that a task carries puts the task away."""
    operations, needs = dict(graph.operations), dict(graph.needs)
    follows, orders = list(graph.follows), list(graph.orders)
    for task in graph.machine.tasks.values():
        setting_up = graph.operations.get(Kind.TASK.of(task.name))
        if task.undo is None or not task.load or setting_up is None or _stood_on(graph.machine, task):
            continue
        away = putting_away(task, setting_up)
        reason = Reason(Because.TASK, f"{task.name} is put away once all that it carries is off", task.place)
        off = [graph.clearing(Atom(part, State.OFF)) for part in task.load]
        operations[away.name] = away
        needs[away.name] = tuple(Clause(names, reason) for names in ((setting_up.name,), *off))
        orders += (
            OrderRule(name, away.name, reason)
            for name, op in graph.operations.items()
            if task.name in graph.machine.positions[op.position].needs
        )
        follows += (FollowRule(setting_up.name, away.name, reason, ways) for ways in product(*off))
    return replace(graph, operations=operations, needs=needs, orders=tuple(orders), follows=tuple(follows))


def _stood_on(machine: Machine, task: Task) -> bool:
    """Whether another task is done after this one, and undone before it is: then it stays."""
    return any(task.name in other.after and other.undo for other in machine.tasks.values())


def let_go(
    machine: Machine, operations: Mapping[str, Operation], needs: Mapping[str, Sequence[Clause]]
) -> Iterator[tuple[str, list[Clause]]]:
    """What of a way back need not wait, in reversed time, for a task that carries to be undone; its needs.

    It is undone once the joints that bear the part are fastened: neither their torque nor the rest waits.
    """
    carrying = {Kind.RESTORE.of(task.name) for task in machine.tasks.values() if task.load}
    fastened = {op.subject: op for op in operations.values() if op.kind in (Kind.FASTEN, Kind.TIGHTEN)}
    for name, operation in operations.items():
        if operation.part is None or _bears(machine, operation, fastened):
            continue
        kept = [
            c for c in needs[name] if c.reason.kind is not Because.TASK or not carrying.issuperset(c.any_of)
        ]
        if len(kept) < len(needs[name]):
            yield name, kept


def _bears(machine: Machine, operation: Operation, fastened: Mapping[str, Operation]) -> bool:
    """Whether the part is not held before this is done: its bearing joints, else locating ones, else all."""
    assert operation.part is not None
    joints = [op.joint for op in fastened.values() if op.part == operation.part and op.joint]
    how = {name: _holds(machine, operation.part, name) for name in joints}
    best = next((holds for holds in (Holds.BEARING, Holds.LOCATING) if holds in how.values()), None)
    if best is None:
        return operation.kind is not Kind.TORQUE
    return operation.kind in (Kind.FASTEN, Kind.TIGHTEN) and how[operation.joint or ""] is best


def _holds(machine: Machine, part: str, joint: str) -> Holds:
    kind = kind_of_joint(machine.parts[part].joints[joint].kind)
    return kind.holds if kind else Holds.SLIGHT


def load(task: Task) -> set[str]:
    """The parts that a task carries, with those whose joints count as joints of them."""
    return {*task.load, *(atom.part for atom in task.before)}
