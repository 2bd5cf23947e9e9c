"""Why a part has to move: the chain of waiting that leads from a target to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sequencer.graph.operations import Clause, OperationGraph, Reason


@dataclass(frozen=True)
class Link:
    """``later`` can't be done before ``earlier``, for the reason given."""

    later: str
    earlier: str
    reason: Reason


def why(graph: OperationGraph, goals: Iterable[Clause], order: Sequence[str], part: str) -> tuple[Link, ...]:
    """The shortest chain from a goal of a job down to an operation on ``part``, the goal's end first.

    ``order`` is the job; only what it does is followed. Empty when the job leaves the part alone, or
    when the part is itself what a goal asks for.
    """
    import networkx as nx

    chosen = graph.restricted(order)
    waits = nx.DiGraph()
    waits.add_nodes_from(chosen.operations)
    for name, clauses in chosen.needs.items():
        for clause in clauses:
            for other in clause.any_of:
                if not waits.has_edge(name, other):
                    waits.add_edge(name, other, reason=clause.reason)
    sources = _asked_for(chosen, goals)
    wanted = chosen.touching.get(part, ())
    if not sources or not wanted or not sources.isdisjoint(wanted):
        return ()
    paths = nx.multi_source_dijkstra_path(waits, sources)
    found = [paths[name] for name in wanted if name in paths]
    if not found:
        return ()
    shortest = min(found, key=len)
    return tuple(
        Link(later, earlier, waits.edges[later, earlier]["reason"]) for later, earlier in pairwise(shortest)
    )


def _asked_for(chosen: OperationGraph, goals: Iterable[Clause]) -> set[str]:
    return {name for goal in goals for name in goal.any_of if name in chosen.operations}


def binding(
    graph: OperationGraph, goals: Iterable[Clause], order: Sequence[str], part: str
) -> tuple[Link, ...]:
    """The links of the shortest chain that every chain to ``part`` goes through, nearest to the part first.

    Drop the relation of one of them from the file, and this job has nothing left that asks for the part.
    Empty when the part is asked for in more than one way all along, or not at all.
    """
    chain = why(graph, goals, order, part)
    chosen = graph.restricted(order)
    sources = _asked_for(chosen, goals)
    own = set(chosen.touching.get(part, ()))
    return tuple(link for link in reversed(chain) if _cut(chosen, sources, own, link.reason))


def _cut(chosen: OperationGraph, sources: Iterable[str], own: set[str], reason: Reason) -> bool:
    """Whether nothing leads from ``sources`` to ``own`` without the relation that ``reason`` is about.

    What is behind a part is behind each of its joints: all clauses from one place of the file go together.
    """
    seen = set(sources)
    frontier = list(seen)
    while frontier:
        for clause in chosen.needs[frontier.pop()]:
            if (clause.reason.kind, clause.reason.place) != (reason.kind, reason.place):
                fresh = [name for name in clause.any_of if name not in seen]
                seen.update(fresh)
                frontier += fresh
    return own.isdisjoint(seen)
