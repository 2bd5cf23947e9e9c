"""Leaving out what a job does not need: a plan does only what its target asks for.

A proven plan has nothing to leave out, except where a swap costs more than putting one tool down and picking
the other up: there a needless step by hand can make an order cheaper, and it is needless all the same. An
order that is only the best found may hold something needless too.
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.graph.operations import Clause, Kind, Op, OperationGraph


def pruned(graph: OperationGraph, goals: Sequence[Clause], order: Sequence[str]) -> tuple[str, ...]:
    """``order`` without any operation that it can do without, the rest in the same order."""
    kept = tuple(order)
    must = _must(graph, goals, kept)
    for name in order:
        if name not in must and name in kept:
            shorter = _without(graph, goals, kept, name)
            if shorter is not None:
                kept = shorter
    return kept if len(kept) == len(order) else pruned(graph, goals, kept)


def _must(graph: OperationGraph, goals: Sequence[Clause], order: Sequence[str]) -> set[str]:
    """What no part of the order can do without: the only one that meets a goal, or a need of such a one."""
    at_hand, found = set(order), set[str]()
    clauses = list(goals)
    while clauses:
        meets = at_hand.intersection(clauses.pop().any_of)
        if len(meets) == 1 and not meets <= found:
            found |= meets
            clauses += graph.needs[meets.pop()]
    return found


def _without(
    graph: OperationGraph, goals: Sequence[Clause], order: Sequence[str], name: str
) -> tuple[str, ...] | None:
    """The order without ``name`` and without what nothing else then asks for; None if that is no plan."""
    rest = set(order) - {name}
    while True:
        asked = {n for goal in goals for n in goal.any_of}
        asked |= {n for kept in rest for clause in graph.needs[kept] for n in clause.any_of}
        asked |= _cracks(graph, rest) | {rule.then for rule in graph.follows if rule.called_by(rest)}
        if rest <= asked:
            break
        rest &= asked
    shorter = tuple(n for n in order if n in rest)
    return shorter if _is_plan(graph, goals, shorter) else None


def _cracks(graph: OperationGraph, chosen: set[str]) -> set[str]:
    """The cracks that these operations call for."""
    return {
        rule.crack
        for rule in graph.cracks
        if not chosen.isdisjoint(rule.undoing) and not chosen.isdisjoint(rule.touching)
    }


def _is_plan(graph: OperationGraph, goals: Sequence[Clause], order: Sequence[str]) -> bool:
    """Whether needs, cracks and goals hold; order rules hold in any part of an order that keeps them."""
    done: set[str] = set()
    for name in order:
        if any(done.isdisjoint(clause.any_of) for clause in graph.needs[name]):
            return False
        done.add(name)
    cracks = {n for n in done if Op(n).kind is Kind.CRACK}
    called_for = _cracks(graph, done) == cracks and not graph.called(done)
    return called_for and all(not done.isdisjoint(goal.any_of) for goal in goals)
