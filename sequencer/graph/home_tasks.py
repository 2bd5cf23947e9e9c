"""Tasks of the way back alone: first run, bleeding, pressure test. When they are done, and after what.

Such a task is done in every job that touches something that it waits for or ``back_before``: once the fluids
that it names are filled and the tasks that it names undone, and while the parts among that are clear.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from sequencer.errors import SequencerError
from sequencer.graph.operations import Because, Clause, Kind, Operation, OperationGraph, OrderRule, Reason
from sequencer.graph.reach import possible
from sequencer.graph.serving import set_up_for
from sequencer.machine.model import Machine, Task


def calls(graph: OperationGraph) -> dict[str, tuple[str, ...]]:
    """For each task of the way back the operations of ``graph`` of which any one calls for it."""
    tasks = {name: task for name, task in graph.machine.tasks.items() if task.only_back}
    found = {name: dict.fromkeys(_touching(graph, task)) for name, task in tasks.items()}
    for _ in tasks:  # one calls for another, and that for a third
        for name, task in tasks.items():
            for other in task.after:
                found.get(other, {}).update(found[name])
            for other in task.undone:
                found[name].update(found.get(other, {}))
    return {name: tuple(callers) for name, callers in found.items()}


def _touching(graph: OperationGraph, task: Task) -> Iterator[str]:
    """Each operation on something that the task is behind or before."""
    parts = [(part, None) for part in task.back_before]
    for part, joint in (*parts, *((atom.part, atom.joint) for need in task.waits for atom in need.any_of)):
        path = f"{part}/{joint}"
        yield from (n for n in graph.touching[part] if joint is None or graph.operations[n].subject == path)
        if joint is None:
            yield from (n for other in graph.machine.carriers(part) if (n := Kind.REMOVE.of(other)))
    names = (*((Kind.DRAIN, fluid) for fluid in task.filled), *((Kind.TASK, other) for other in task.undone))
    yield from (n for kind, other in names if (n := kind.of(other)) in graph.operations)


def operation_of(task: Task) -> Operation:
    """The task as a step of the way back."""
    return Operation(Kind.TASK, task.name, task.position, task.tool, task.seconds, task.place)


def orders_of(task: Task, known: Mapping[str, Operation]) -> Iterator[OrderRule]:
    """What the task comes after on the way back, in reversed time: of what there is in ``known``."""
    own = Kind.TASK.of(task.name)
    filled = ((Kind.FILL.of(fluid), f"{fluid} is filled") for fluid in task.filled)
    undone = ((Kind.RESTORE.of(other), f"{other} is undone") for other in task.undone)
    done = ((Kind.TASK.of(other), f"{other} is done") for other in (*task.undone, *task.after))
    for name, what in (*filled, *undone, *done):
        if name in known:
            yield OrderRule(own, name, Reason(Because.BACK, f"{what} before {task.name}", task.place))


def later(
    needs: Mapping[str, Iterable[Clause]], orders: Iterable[OrderRule], names: Iterable[str]
) -> set[str]:
    """``names`` and all that may have to come after them: what they wait for in reversed time."""
    before: dict[str, list[str]] = {}
    for rule in orders:
        before.setdefault(rule.after, []).append(rule.before)
    found: set[str] = set()
    open_ = [name for name in names if name in needs]
    while open_:
        name = open_.pop()
        if name not in found:
            found.add(name)
            open_ += (other for clause in needs[name] for other in clause.any_of)
            open_ += before.get(name, ())
    return found


def follow_first(
    machine: Machine,
    task: Task,
    operations: Mapping[str, Operation],
    needs: dict[str, list[Clause]],
    orders: Sequence[OrderRule],
) -> None:
    """Let what the task waits for, and what is fitted after it, follow the undoing of a task in ``first``.

    What helps to fit that, and is put away again, follows too.
    """
    undone = {(Kind.RESTORE.of(name),) for name in {*task.undone} & {*machine.first}}
    if not undone:
        return
    shut = (kind.of(part) for part in task.back_before for kind in (Kind.FIT, Kind.MOVE_BACK))
    follow = later(needs, orders, (operation_of(task).name, *shut))
    for name in follow | set_up_for(follow, operations):
        needs[name] = [
            clause
            for clause in needs[name]
            if clause.reason.kind is not Because.FIRST or clause.any_of not in undone
        ]


def insist(
    needs: Mapping[str, Sequence[Clause]], orders: Sequence[OrderRule], asked: Sequence[OrderRule]
) -> None:
    """See that the orders in ``asked``, which the file wants beyond what holds anyway, close no circle.

    Raises:
        SequencerError: One of them does.
    """
    kept: dict[str, list[Clause]] = {}
    for rule in (*(rule for rule in orders if rule not in asked), *asked):
        kept.setdefault(rule.after, []).append(Clause((rule.before,), rule.reason))
        if rule in asked and len(possible(needs, kept)) < len(needs):
            reason = rule.reason
            raise SequencerError(
                f"{reason.place}:{reason.place.column}: it can't be that {reason.text}: "
                f"`{rule.after}` has to wait for `{rule.before}` on the way back",
                "name what it really waits for, or take that out",
            )
