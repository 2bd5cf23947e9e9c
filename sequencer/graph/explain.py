"""Why a target can't be reached: the shortest circle of waiting, and what would open it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from sequencer.errors import SequencerError
from sequencer.graph.derive import derive
from sequencer.graph.openings import Link, openings
from sequencer.graph.operations import Clause, OperationGraph, Reason
from sequencer.graph.reach import possible, relevant, rounds

if TYPE_CHECKING:
    import networkx as nx


MOST_LINKS_TRIED = 30
"""Links of a circle of which it is tried what would open them: each try derives the whole graph anew."""


@dataclass(frozen=True)
class Wait:
    """One link of a circle: ``waits`` can't be done before ``waits_for``."""

    waits: str
    waits_for: str
    reason: Reason

    def __str__(self) -> str:
        return f"{self.waits!r} waits for {self.waits_for!r} because {self.reason}"


class UnreachableError(SequencerError):
    """A target that no order of work reaches.

    Attributes:
        circle: The shortest circle of waiting, first link first.
        openings: The smallest changes that open it, each tried and a plain sentence, the best first.
    """

    def __init__(self, circle: Sequence[Wait], openings: Sequence[str]) -> None:
        self.circle = tuple(circle)
        self.openings = tuple(openings)
        lines = "".join(f"\n  {wait}" for wait in circle)
        remedy = (
            "; or ".join(self.openings)
            if openings
            else "no single change opens it: more than one of these relations can't be so"
        )
        ring = f"each of {len(circle)} operations waits for the next, in a circle"
        super().__init__(f"this can't be reached: {ring}:{lines}\n", remedy)

    def said(self, at: str, remedy: str) -> str:  # noqa: ARG002 - it is about no file
        """The circle, and each change that opens it on a line of its own."""
        if len(self.openings) < 2:
            return f"{self.problem}{remedy}"
        lines = "".join(f"\n  {opening}" for opening in self.openings)
        return f"{self.problem}any one of these would open it, tried one by one, the best first:{lines}"


def check_reachable(graph: OperationGraph, goals: Sequence[Clause]) -> None:
    """Raise ``UnreachableError`` when needs alone, whatever is chosen, keep a goal out of reach."""
    done = possible(graph.needs)
    failing = [goal for goal in goals if done.isdisjoint(goal.any_of)]
    if failing:
        raise _unreachable(graph, goals, failing, done, {})


def explain_conflict(graph: OperationGraph, goals: Sequence[Clause]) -> UnreachableError:
    """Explain a target that every choice of operations keeps out of reach through cracks and states.

    One choice (the nearest alternative everywhere) is worked out in full; its circle is the explanation.
    """
    chosen = _nearest_choice(graph, goals)
    inner = graph.restricted(chosen)
    extra = _orders_as_clauses(inner)
    done = possible(inner.needs, extra)
    failing = [goal for goal in goals if done.isdisjoint(goal.any_of)]
    if not failing:  # the first choice is workable only in parts: explain whatever is stuck
        failing = [Clause((name,), goals[0].reason) for name in inner.operations if name not in done]
    return _unreachable(inner, goals, failing, done, extra)


def _orders_as_clauses(graph: OperationGraph) -> dict[str, list[Clause]]:
    """The order rules of a graph in which everything is done."""
    extra: dict[str, list[Clause]] = {}
    for rule in graph.orders:
        extra.setdefault(rule.after, []).append(Clause((rule.before,), rule.reason))
    return extra


def _nearest_choice(graph: OperationGraph, goals: Iterable[Clause]) -> set[str]:
    """One choice that meets every need: of each clause what is free soonest, so no need makes a circle."""
    able = rounds(graph.needs)
    chosen: set[str] = set()
    waiting = [(clause, len(able)) for clause in goals]

    def choose(name: str) -> None:
        chosen.add(name)
        waiting.extend((clause, able[name]) for clause in graph.needs[name])

    while waiting:
        clause, limit = waiting.pop()
        sooner = [name for name in clause.any_of if able.get(name, limit) < limit]
        if chosen.isdisjoint(sooner):
            choose(min(sooner, key=able.__getitem__))
        if not waiting:
            for rule in graph.cracks:
                called = not chosen.isdisjoint(rule.undoing) and not chosen.isdisjoint(rule.touching)
                if called and rule.crack not in chosen:
                    choose(rule.crack)
    return chosen


def _unreachable(
    graph: OperationGraph,
    goals: Sequence[Clause],
    failing: Sequence[Clause],
    done: set[str],
    extra: Mapping[str, Sequence[Clause]],
) -> UnreachableError:
    circle = _shortest_circle(graph, failing, done, extra)
    tried = circle[:MOST_LINKS_TRIED]
    links = [Link(graph.operations[wait.waits_for], wait.reason) for wait in tried]
    return UnreachableError(
        circle, openings(graph.machine, links, lambda machine: _reaches(derive(machine), goals))
    )


def _shortest_circle(
    graph: OperationGraph,
    failing: Sequence[Clause],
    done: set[str],
    extra: Mapping[str, Sequence[Clause]],
) -> list[Wait]:
    """The shortest directed circle among the stuck operations that the goals lead to.

    Every stuck operation has a clause whose operations are all stuck, so following such clauses from a goal
    must come round. A circle runs through the busiest operation of its knot or lives on without it: the
    shortest through that one is found by breadth-first search, and what is left is looked at again.
    """
    import networkx as nx

    waits = _stuck_graph(graph, failing, done, extra)
    rank = {name: number for number, name in enumerate(waits)}
    rings: list[list[str]] = []
    knots = _knots(waits)
    while knots:
        knot = knots.pop()
        hub = max(knot, key=lambda name: (knot.in_degree(name) * knot.out_degree(name), -rank[name]))
        back = nx.single_source_shortest_path(knot.reverse(copy=False), hub)
        rings.append(min(([hub, *back[after][:0:-1]] for after in knot.successors(hub)), key=len))
        knots += _knots(knot.subgraph(set(knot) - {hub}))
    assert rings, "a stuck operation leads into a circle"
    best = min(rings, key=lambda ring: (len(ring), min(rank[name] for name in ring)))
    first = best.index(min(best, key=rank.__getitem__))
    best = best[first:] + best[:first]
    return [Wait(a, b, waits.edges[a, b]["reason"]) for a, b in pairwise([*best, best[0]])]


def _knots(waits: nx.DiGraph) -> list[nx.DiGraph]:
    """The parts of a graph in which everything waits for everything; all its circles are in them."""
    import networkx as nx

    found = (waits.subgraph(names).copy() for names in nx.strongly_connected_components(waits))
    return [knot for knot in found if knot.number_of_edges()]


def _stuck_graph(
    graph: OperationGraph,
    failing: Sequence[Clause],
    done: set[str],
    extra: Mapping[str, Sequence[Clause]],
) -> nx.DiGraph:
    """Arcs from what waits to what it waits for in vain, as far as the failing goals lead."""
    import networkx as nx

    waits = nx.DiGraph()
    frontier = [name for clause in failing for name in clause.any_of]
    seen: set[str] = set()
    while frontier:
        name = frontier.pop(0)
        if name in seen or name not in graph.needs:
            continue
        seen.add(name)
        for clause in (*graph.needs[name], *extra.get(name, ())):
            if done.isdisjoint(clause.any_of):
                for other in clause.any_of:
                    if not waits.has_edge(name, other):
                        waits.add_edge(name, other, reason=clause.reason)
                    frontier.append(other)
    return waits


def _reaches(graph: OperationGraph, goals: Sequence[Clause]) -> bool:
    """Whether one choice of operations reaches the goals, with cracks and states in order as well."""
    able = possible(graph.needs)
    if any(able.isdisjoint(goal.any_of) for goal in goals):
        return False
    inner = graph.restricted(_nearest_choice(graph, goals))
    return len(possible(inner.needs, _orders_as_clauses(inner))) == len(inner.operations)


def narrowed(graph: OperationGraph, goals: Sequence[Clause]) -> tuple[OperationGraph, tuple[Clause, ...]]:
    """The part of the graph that the goals can call for, and the goals, without what can never be done.

    Raises:
        UnreachableError: Nothing reaches the goals.
    """
    check_reachable(graph, goals)
    keep = relevant(graph, goals) & possible(graph.needs)
    left = tuple(Clause(tuple(n for n in goal.any_of if n in keep), goal.reason) for goal in goals)
    return graph.restricted(keep), left
