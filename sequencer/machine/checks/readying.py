"""What has to be ready for work, by ``after`` and by position: none of it can wait for itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sequencer.machine.checks.back_checks import named_otherwise
from sequencer.machine.faults import quote
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import WasteEntry

_Node = tuple[str, str]  # "tasks" or "fluids", and its name


@dataclass(frozen=True)
class _Wait:
    """One task or drain waits for another, as written at ``path``: ``how`` it is done at ``position``."""

    other: _Node
    path: Path
    position: str = ""
    how: str = ""


def check_readying(scope: Scope) -> None:
    """Note each circle of tasks and drains that wait for one another, once."""
    # Who waits for the same thing twice is told of it once. What of the way in waits for a task of the
    # way back has been told.
    home: set[_Node] = {("tasks", name) for name, task in (scope.entry.tasks or {}).items() if task.only}
    waits = {
        node: list(
            {
                wait.other: wait
                for wait in reversed([*_waits(scope, node)])
                if node in home or wait.other not in home
            }.values()
        )
        for node in _nodes(scope)
    }
    settled: set[_Node] = set()
    for node in waits:
        _look(scope, waits, node, [], settled)


def _nodes(scope: Scope) -> Iterator[_Node]:
    yield from (("tasks", name) for name in scope.entry.tasks or {})
    yield from (("fluids", name) for name in scope.entry.fluids or {})


def _waits(scope: Scope, node: _Node) -> Iterator[_Wait]:
    section, name = node
    here = next(iter(scope.names("positions")), "")
    first = [one for one in scope.entry.first or [] if isinstance(one, str)]
    if section == "tasks":
        task = (scope.entry.tasks or {})[name]
        for number, other in enumerate(task.after or []):
            if isinstance(other, str):
                yield _Wait(("tasks", other), ("tasks", name, "after", number))
        for where, (other, kind) in named_otherwise(scope.entry, name).items():
            if kind == "tasks" and (scope.entry.tasks or {})[other].only:
                yield _Wait(("tasks", other), where)
        yield from _there(scope, task.from_ or here, "done")
        if task.undo is not None:
            yield from _there(scope, task.undo.from_ or task.from_ or here, "undone")
    else:
        fluid = (scope.entry.fluids or {})[name]
        for work, how in ((fluid.drain, "drained"), (fluid.fill, "filled")):
            if isinstance(work, WasteEntry):
                continue
            yield from _there(scope, (work.from_ if work else None) or here, how)
    if section == "fluids" or name not in first:
        yield from (_Wait(("tasks", other), ("first",)) for other in first)


def _there(scope: Scope, position: str, how: str) -> Iterator[_Wait]:
    """What is waited for by whatever is done at a position."""
    there = (scope.entry.positions or {}).get(position)
    for key, section in (("needs", "tasks"), ("drained", "fluids")):
        for number, name in enumerate(getattr(there, key, None) or []):
            if isinstance(name, str):
                yield _Wait((section, name), ("positions", position, key, number), position, how)


def _look(
    scope: Scope, waits: dict[_Node, list[_Wait]], node: _Node, chain: list[_Node], settled: set[_Node]
) -> None:
    """Go down what ``node`` waits for, at the end of ``chain``; a circle is said where it closes."""
    if node in settled:
        return
    chain.append(node)
    for wait in waits.get(node, ()):
        if wait.other in chain:
            _say(scope, chain[chain.index(wait.other) :], wait)
        else:
            _look(scope, waits, wait.other, chain, settled)
    chain.pop()
    settled.add(node)


def _say(scope: Scope, circle: list[_Node], closes: _Wait) -> None:
    names = [f"`{quote(name)}`" for _, name in circle]
    if len(circle) == 1 and closes.position:
        there = f"`{quote(closes.position)}`"
        problem = f"{names[0]} has to be {closes.how} from {there}, where nobody works before it"
        remedy = f"give it another `from`, or take it out of what {there} asks for"
    elif len(circle) == 1:
        problem, remedy = f"{names[0]} is after itself", "take it out"
    else:
        problem = f"these wait for one another: {', '.join(names)}"
        remedy = "take one of them out of what another is after or its position needs"
    scope.error(closes.path, problem, remedy, key=closes.path == ("first",))
