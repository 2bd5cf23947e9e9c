"""Tasks that serve joints: set up for them, put away after them, on both ways.

A holding bar goes on before the joint that it serves is broken loose, and comes off after. So the way in has
a ``restore T`` of its own, and the way back a ``task T``: the bar goes on again before the torque.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from sequencer.graph.operations import Because, Clause, Kind, Operation, OperationGraph, Reason
from sequencer.machine.model import Task

_BREAKING = (Kind.CRACK, Kind.SLACKEN, Kind.UNDO)
_TIGHTENING = (Kind.TORQUE, Kind.RETIGHTEN, Kind.FASTEN, Kind.TIGHTEN)


def breaking(path: str, done: Collection[str]) -> str | None:
    """The operation of a job that breaks a joint loose; None where it is left alone."""
    return _first(_BREAKING, path, done)


def tightening(path: str, done: Collection[str]) -> str | None:
    """The operation of a way back that tightens a joint for good; None where there is none."""
    return _first(_TIGHTENING, path, done)


def _first(kinds: Sequence[Kind], path: str, done: Collection[str]) -> str | None:
    return next((name for kind in kinds if (name := kind.of(path)) in done), None)


def putting_away(task: Task, setting_up: Operation) -> Operation:
    """What undoes a task; it must have an ``undo``."""
    assert task.undo is not None
    return replace(
        setting_up,
        kind=Kind.RESTORE,
        position=task.undo.position,
        tool=task.undo.tool,
        seconds=task.undo.seconds,
    )


def with_putting_away(graph: OperationGraph, order: Sequence[str]) -> tuple[OperationGraph, tuple[str, ...]]:
    """The graph and an order of a job, with each serving task put away once its joints are loose."""
    operations, needs, found = dict(graph.operations), dict(graph.needs), list(order)
    for setting_up in reversed([n for n in order if graph.operations[n].kind is Kind.TASK]):
        task = graph.machine.tasks[graph.operations[setting_up].subject]
        loose = [name for path in task.steadied if (name := breaking(path, order))]
        later = [Kind.RESTORE.of(name) for name in _standing_on(graph, task, order)]
        if task.undo is None or task.load or not loose or not operations.keys() >= set(later):
            continue
        away = putting_away(task, operations[setting_up])
        reason = Reason(Because.TASK, f"{task.name} is put away once what it serves is loose", task.place)
        waits = dict.fromkeys((setting_up, *loose, *_others(graph, task, order), *later))
        operations[away.name] = away
        needs[away.name] = tuple(Clause((name,), reason) for name in waits)
        found = list(inserted(found, away.name, needs[away.name]))
    return replace(graph, operations=operations, needs=needs), tuple(found)


def begun_with_putting_away(
    whole: OperationGraph, done: Iterable[str], left: Iterable[str]
) -> tuple[OperationGraph, tuple[str, ...]]:
    """All that is possible in a job under way, with the putting away of its serving tasks; and what is left.

    ``done`` and ``left`` may name what ``whole`` does not know, as the putting away itself.
    """
    gone = tuple(done)
    known = [name for name in gone if name in whole.operations]
    rest = [name for name in left if name in whole.operations and name not in known]
    served, order = with_putting_away(whole, [*known, *rest])
    return served, tuple(name for name in order if name not in gone)


def inserted(order: Sequence[str], name: str, needs: Sequence[Clause]) -> tuple[str, ...]:
    """An order with one operation more, as soon as what it needs is done."""
    place = {other: number for number, other in enumerate(order)}
    first = (min((place[n] for n in clause.any_of if n in place), default=-1) for clause in needs)
    after = max(first, default=-1) + 1
    return (*order[:after], name, *order[after:])


def _standing_on(graph: OperationGraph, task: Task, order: Sequence[str]) -> Iterator[str]:
    """The tasks of a job that are done after this one, and undone before it is."""
    for other in graph.machine.tasks.values():
        if task.name in other.after and other.undo and Kind.TASK.of(other.name) in order:
            yield other.name


def _others(graph: OperationGraph, task: Task, order: Sequence[str]) -> Iterator[str]:
    """What else of a job waits for the task, and so has it in place."""
    for name in order:
        waits = (c for c in graph.needs[name] if c.reason.kind in (Because.TASK, Because.POSITION))
        if graph.operations[name].subject not in task.steadied and any(
            c.any_of == (Kind.TASK.of(task.name),) for c in waits
        ):
            yield name


def set_up_for(away: Iterable[str], operations: Mapping[str, Operation]) -> set[str]:
    """The setting up, on the way back, of what is put away again among ``away``."""
    tasks = (op for name in away if (op := operations[name]).kind is Kind.RESTORE)
    return {on for op in tasks if (on := Kind.TASK.of(op.subject)) in operations}


def set_up_again(back: OperationGraph) -> tuple[str, ...]:
    """The operations of a way back that set a serving task up once more."""
    tasks = back.machine.tasks
    return tuple(
        name
        for name, op in back.operations.items()
        if op.kind is Kind.TASK and tasks[op.subject].steadied and not tasks[op.subject].load
    )
