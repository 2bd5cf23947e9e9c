"""Why a target can't be reached: the shortest circle of waiting, and what would open it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from sequencer.errors import SequencerError
from sequencer.graph.derive import derive
from sequencer.graph.openings import CircleLink, openings
from sequencer.graph.operations import Clause, FollowRule, Kind, OperationGraph, Reason
from sequencer.graph.reach import doable, nearest_choice, never_off, possible, relevant
from sequencer.machine.faults import Fault
from sequencer.machine.model import Machine, Place

if TYPE_CHECKING:
    import networkx as nx


MOST_LINKS_TRIED = 30
"""Links of which it is tried what would open them, the circle's first; each try derives the graph anew."""


MOST_PLACES = 300
"""Relations of which it is looked at first whether needs alone would let the target be reached without."""

_NONE = "no single change opens it: more than one of these relations can't be so"
_NONE_FOUND = "none of the single changes that were tried opens it: look at these relations together"


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
        complete: Without openings: it is certain that no relation left out by itself opens it.
    """

    def __init__(self, circle: Sequence[Wait], openings: Sequence[str], *, complete: bool) -> None:
        self.circle = tuple(circle)
        self.openings = tuple(openings)
        self.complete = complete
        lines = "".join(f"\n  {wait}" for wait in circle)
        none = _NONE if complete else _NONE_FOUND
        remedy = "; or ".join(self.openings) or none
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
    done = doable(graph)
    failing = [goal for goal in goals if done.isdisjoint(goal.any_of)]
    if failing:
        lacking = (rule for rule in graph.follows if rule.then not in done and not _put_down(graph, rule))
        extra = {rule.first: (Clause((rule.then,), rule.reason),) for rule in lacking}
        raise _unreachable(graph, goals, failing, done, extra)


def _put_down(graph: OperationGraph, rule: FollowRule) -> bool:
    """Whether it is what follows by itself once its load is off: nothing waits for that."""
    return graph.operations[rule.then].kind is Kind.RESTORE


def explain_conflict(graph: OperationGraph, goals: Sequence[Clause]) -> UnreachableError:
    """Explain a target that every choice of operations keeps out of reach through cracks and states.

    One choice (the nearest alternative everywhere) is worked out in full; its circle is the explanation.
    """
    chosen = nearest_choice(graph, goals)
    inner = graph.restricted(chosen)
    extra = rules_as_clauses(inner)
    done = possible(inner.needs, extra)
    failing = [goal for goal in goals if done.isdisjoint(goal.any_of)]
    if not failing:  # the first choice is workable only in parts: explain whatever is stuck
        failing = [Clause((name,), goals[0].reason) for name in inner.operations if name not in done]
    return _unreachable(inner, goals, failing, done, extra)


def rules_as_clauses(graph: OperationGraph) -> dict[str, list[Clause]]:
    """The order rules of a graph in which everything is done."""
    extra: dict[str, list[Clause]] = {}
    for rule in graph.orders:
        extra.setdefault(rule.after, []).append(Clause((rule.before,), rule.reason))
    return extra


def _unreachable(
    graph: OperationGraph,
    goals: Sequence[Clause],
    failing: Sequence[Clause],
    done: set[str],
    extra: Mapping[str, Sequence[Clause]],
) -> UnreachableError:
    waits, links = _stuck(graph, failing, done, extra)
    circle = _shortest_circle(waits)
    near = dict.fromkeys(CircleLink(graph.operations[wait.waits_for], wait.reason) for wait in circle)
    far = dict.fromkeys(link for link in links if link not in near)

    def tried(some: Sequence[CircleLink]) -> tuple[list[str], bool]:
        """What opens it of these, and whether it is certain that nothing else of them does."""
        places = list(dict.fromkeys(link.reason.place for link in some))[:MOST_PLACES]
        able = {place for place in places if extra or _without(graph, goals, place)}
        first = sorted(some, key=lambda link: link.reason.place not in able)[:MOST_LINKS_TRIED]
        found = openings(graph.machine, first, able, lambda machine: _reaches(derive(machine), goals))
        return found, not able and len(first) == len(some)

    found, sure = tried(list(near)[:MOST_LINKS_TRIED])
    if found:
        return UnreachableError(circle, found, complete=False)
    found, surely = tried(list(far))
    return UnreachableError(circle, found, complete=sure and surely and len(near) <= MOST_LINKS_TRIED)


def _without(graph: OperationGraph, goals: Sequence[Clause], place: Place) -> bool:
    """Whether needs alone let the goals be reached when what is written at ``place`` isn't so."""
    needs = {
        name: [clause for clause in clauses if clause.reason.place != place]
        for name, clauses in graph.needs.items()
    }
    able = possible(needs)
    return not any(able.isdisjoint(goal.any_of) for goal in goals)


def _shortest_circle(waits: nx.DiGraph) -> list[Wait]:
    """The shortest directed circle among the stuck operations that the goals lead to.

    Every stuck operation has a clause whose operations are all stuck, so following such clauses from a goal
    must come round. A circle runs through the busiest operation of its knot or lives on without it: the
    shortest through that one is found by breadth-first search, and what is left is looked at again.
    """
    import networkx as nx

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


def _stuck(
    graph: OperationGraph,
    failing: Sequence[Clause],
    done: set[str],
    extra: Mapping[str, Sequence[Clause]],
) -> tuple[nx.DiGraph, list[CircleLink]]:
    """Arcs from what waits to what it waits for in vain, as far as the failing goals lead; and every reason.

    What opens a target makes some operation here free that was not, by way of one of these reasons.
    """
    import networkx as nx

    waits = nx.DiGraph()
    links: list[CircleLink] = []
    frontier = [name for clause in failing for name in clause.any_of]
    seen: set[str] = set()
    while frontier:
        name = frontier.pop(0)
        if name in seen or name not in graph.needs:
            continue
        seen.add(name)
        for clause in (*graph.needs[name], *extra.get(name, ())):
            if done.isdisjoint(clause.any_of):
                links += (CircleLink(graph.operations[other], clause.reason) for other in clause.any_of)
                for other in clause.any_of:
                    if not waits.has_edge(name, other):
                        waits.add_edge(name, other, reason=clause.reason)
                    frontier.append(other)
    return waits, links


def _reaches(graph: OperationGraph, goals: Sequence[Clause]) -> bool:
    """Whether one choice of operations reaches the goals, with cracks and states in order as well."""
    able = doable(graph)
    if any(able.isdisjoint(goal.any_of) for goal in goals):
        return False
    left = graph.restricted(able)
    inner = left.restricted(nearest_choice(left, goals))
    return len(possible(inner.needs, rules_as_clauses(inner))) == len(inner.operations)


def narrowed(graph: OperationGraph, goals: Sequence[Clause]) -> tuple[OperationGraph, tuple[Clause, ...]]:
    """The part of the graph that the goals can call for, and the goals, without what can never be done.

    Raises:
        UnreachableError: Nothing reaches the goals.
    """
    check_reachable(graph, goals)
    keep = relevant(graph, goals) & doable(graph)
    left = tuple(Clause(tuple(n for n in goal.any_of if n in keep), goal.reason) for goal in goals)
    return graph.restricted(keep), left


def shut_in(machine: Machine) -> Fault | None:
    """The warning of a machine that has parts which can never come off; None where it has none."""
    shut = never_off(derive(machine))
    if not shut:
        return None
    first = machine.parts[shut[0]]
    more = f" (nor can {len(shut) - 1} more)" if len(shut) > 1 else ""
    problem = f"`{first.name}` can never come off: what it waits for waits for it{more}"
    return Fault(first.place, problem, f"plan to take {first.name} off, and the circle is shown", "warning")
