"""The file taken from top to bottom: the order of someone without a plan, to compare with.

Parts in the order written, each part's blockers first, the first way of every alternative.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import Clause, OperationGraph
from sequencer.graph.reach import rounds


def top_to_bottom(graph: OperationGraph, goals: Sequence[Clause], fallback: Sequence[str]) -> tuple[str, ...]:
    """An order for the goals. ``fallback`` is a choice of operations that is known to work, used if the first
    alternatives lead into a circle.
    """  # noqa: D205 - one sentence more than a line
    for chosen in (first_ways(graph, goals), set(fallback)):
        inner = graph.restricted(chosen)
        layers = rounds(inner.needs, rules_as_clauses(inner))
        if len(layers) == len(chosen):
            return _depth_first(inner, layers)
    raise AssertionError("the fallback is an order that works")


def first_ways(graph: OperationGraph, goals: Sequence[Clause]) -> set[str]:
    """The choice that takes the first alternative wherever nothing chosen already will do."""
    chosen: set[str] = set()
    clauses = list(reversed(goals))
    while clauses:
        clause = clauses.pop()
        if chosen.isdisjoint(clause.any_of):
            name = clause.any_of[0]
            chosen.add(name)
            clauses += reversed(graph.needs[name])
        if not clauses:
            for name in graph.called(chosen):
                chosen.add(name)
                clauses += reversed(graph.needs[name])
    return chosen


def _depth_first(graph: OperationGraph, layers: Mapping[str, int]) -> tuple[str, ...]:
    """Each operation in the order of the file, all that it waits for just before it."""
    rules = rules_as_clauses(graph)
    rank = {name: number for number, name in enumerate(graph.operations)}

    def waits_for(name: str) -> list[str]:
        first = (
            next(other for other in clause.any_of if layers.get(other, layers[name]) < layers[name])
            for clause in (*graph.needs[name], *rules.get(name, ()))
        )
        return sorted(set(first), key=rank.__getitem__, reverse=True)

    order: dict[str, None] = {}
    for wanted in graph.operations:
        stack = [wanted]
        while stack:
            name = stack[-1]
            open_ = [other for other in waits_for(name) if other not in order]
            if open_:
                stack += open_
            else:
                order[stack.pop()] = None
    return tuple(order)
