"""From an order of operations to the steps of a plan: times, changes, and what each opens."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sequencer.graph import Target
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.plan import Bound, Step, Teardown, Totals


def replay(
    graph: OperationGraph,
    order: Sequence[str],
    changes: Changes,
    opens: Mapping[str, tuple[str, ...]] | None = None,
) -> tuple[Step, ...]:
    """The steps of ``order``, costed by the file's own rules (not by the engine's numbers)."""
    done = set(order)
    saved = {s.undo: s.saved for s in graph.slackenings if s.slacken in done and s.undo in done}
    opens = opens or {}
    steps: list[Step] = []
    before: Setup | None = None
    for number, name in enumerate(order, start=1):
        operation = graph.operations[name]
        here = Setup(operation.position, operation.tool)
        start = before or changes.start(here.position)
        seconds = operation.seconds
        if name in saved:
            seconds -= saved[name]
        steps.append(
            Step(
                number,
                operation,
                seconds,
                changes.seconds(start, here),
                Changes.is_tool_change(start.tool, here.tool),
                start.position != here.position,
                opens.get(name, ()),
            )
        )
        before = here
    return tuple(steps)


def is_workable(graph: OperationGraph, order: Sequence[str]) -> bool:
    """Whether an order of taking apart keeps every need; a reassembly is one, read backwards."""
    rules = rules_as_clauses(graph.restricted(order))
    done: set[str] = set()
    for name in order:
        for clause in (*graph.needs[name], *rules.get(name, ())):
            if done.isdisjoint(clause.any_of):
                return False
        done.add(name)
    return True


def opened_by(graph: OperationGraph, order: Sequence[str]) -> Mapping[str, tuple[str, ...]]:
    """For each operation, the later ones whose last open need it meets."""
    chosen = graph.restricted(order)
    rank = {name: number for number, name in enumerate(order)}
    rules = rules_as_clauses(chosen)
    opened: dict[str, list[str]] = {}
    for name in order:
        waited = [
            min((rank[n], n) for n in clause.any_of)
            for clause in (*chosen.needs[name], *rules.get(name, ()))
            if clause.any_of
        ]
        if waited:
            opened.setdefault(max(waited)[1], []).append(name)
    return {name: tuple(names) for name, names in opened.items()}


def waiting(graph: OperationGraph, order: Sequence[str]) -> Mapping[str, tuple[str, ...]]:
    """For each operation, the later ones that wait for it themselves, in ``order``."""
    chosen = graph.restricted(order)
    rank = {name: number for number, name in enumerate(order)}
    rules = rules_as_clauses(chosen)
    found: dict[str, dict[str, None]] = {}
    for name in order:
        for clause in (*chosen.needs[name], *rules.get(name, ())):
            if clause.any_of:
                found.setdefault(min(clause.any_of, key=rank.__getitem__), {})[name] = None
    return {name: tuple(names) for name, names in found.items()}


def teardown_of(
    graph: OperationGraph,
    targets: Sequence[Target],
    order: Sequence[str],
    changes: Changes,
    prefer: Prefer = Prefer.TIME,
    bound: Bound | None = None,
    file_order: Sequence[str] | None = None,
    *,
    opens: bool = True,
) -> Teardown:
    """The way in by an order, however it was come by: found and proven, carried on, or simply done.

    Args:
        graph: What was possible.
        targets: What it is for.
        order: Operations of ``graph``.
        changes: What going from one set-up to another costs.
        prefer: What the order has least of.
        bound: How good it is, where that was looked into.
        file_order: The file's own order, to compare with.
        opens: Whether each step says what it opens; no need where nobody reads the plan.
    """
    return Teardown(
        machine=graph.machine,
        targets=tuple(targets),
        prefer=prefer,
        steps=replay(graph, order, changes, opened_by(graph, order) if opens else None),
        bound=bound,
        graph=graph,
        top_to_bottom=None if file_order is None else Totals.of(replay(graph, file_order, changes)),
    )
