"""Which operations a target can call for, and which can be done at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sequencer.graph.operations import Clause, Kind, OperationGraph


def rounds(
    needs: Mapping[str, Sequence[Clause]], extra: Mapping[str, Sequence[Clause]] | None = None
) -> dict[str, int]:
    """The round in which each operation is free when everything free is done at once; the rest never is.

    Needs are monotone (doing more never blocks), so this finds every operation that can be done in some
    order. ``extra`` adds clauses.
    """
    pending: dict[str, int] = {}
    asking: dict[str, list[tuple[str, int]]] = {}
    for name, clauses in needs.items():
        whole = (*clauses, *(extra or {}).get(name, ()))
        pending[name] = len(whole)
        for number, clause in enumerate(whole):
            for other in clause.any_of:
                asking.setdefault(other, []).append((name, number))
    done: dict[str, int] = {}
    met: set[tuple[str, int]] = set()
    number = 0
    free = [name for name, open_clauses in pending.items() if not open_clauses]
    while free:
        done.update(dict.fromkeys(free, number))
        number += 1
        newly = []
        for clause_of in (asked for name in free for asked in asking.get(name, ())):
            if clause_of not in met:
                met.add(clause_of)
                pending[clause_of[0]] -= 1
                if not pending[clause_of[0]]:
                    newly.append(clause_of[0])
        free = newly
    return done


def possible(
    needs: Mapping[str, Sequence[Clause]], extra: Mapping[str, Sequence[Clause]] | None = None
) -> set[str]:
    """The operations that can be done in some order."""
    return set(rounds(needs, extra))


def ancestors(needs: Mapping[str, Sequence[Clause]], names: Iterable[str]) -> set[str]:
    """All that some operations may wait for, in turn; themselves where they wait for one another."""
    found: set[str] = set()
    frontier = [other for name in names for clause in needs[name] for other in clause.any_of]
    while frontier:
        name = frontier.pop()
        if name not in found:
            found.add(name)
            frontier += (other for clause in needs[name] for other in clause.any_of)
    return found


def doable(graph: OperationGraph) -> set[str]:
    """The operations that can be done in some order, with all that has to be done as well."""
    needs = dict(graph.needs)
    while True:
        able = possible(needs)
        barred = {rule.first for rule in graph.follows if rule.called_by(able) and rule.then not in able}
        if not barred:
            return able
        needs = {name: clauses for name, clauses in needs.items() if name not in barred}


def nearest_choice(graph: OperationGraph, goals: Iterable[Clause], former: Iterable[str] = ()) -> set[str]:
    """One choice that meets every need, with all that it calls for; not the cheapest, but found fast.

    What is in ``former`` is kept as far as it can be done. Each clause that this leaves open is met by what
    is free soonest, and sooner than what asks for it, so that no need makes a circle.
    """
    able = rounds(graph.needs)
    kept = {name for name in former if name in able}
    chosen = set(kept)
    waiting = [(clause, len(able)) for clause in goals]
    waiting += [(clause, able[name]) for name in kept for clause in graph.needs[name]]

    def choose(name: str) -> None:
        chosen.add(name)
        waiting.extend((clause, able[name]) for clause in graph.needs[name])

    while True:
        while waiting:
            clause, limit = waiting.pop()
            sooner = [name for name in clause.any_of if able.get(name, limit) < limit]
            if kept.isdisjoint(clause.any_of) and chosen.isdisjoint(sooner):
                choose(min(sooner, key=able.__getitem__))
        called = graph.called(chosen)
        for name in called:
            choose(name)
        if not called:
            return chosen


def relevant(graph: OperationGraph, goals: Iterable[Clause]) -> set[str]:
    """The AND/OR ancestors of the goals: no other operation belongs in a plan.

    A crack comes along when both of its sides do, and then its own needs come along too; so does what is
    renewed with a fluid.
    """
    found: set[str] = set()
    frontier = [name for clause in goals for name in clause.any_of]
    while frontier:
        while frontier:
            name = frontier.pop()
            if name not in found:
                found.add(name)
                frontier += (other for clause in graph.needs[name] for other in clause.any_of)
        frontier = list(graph.called(found))
    return found


def never_off(graph: OperationGraph) -> tuple[str, ...]:
    """The parts that no order of work takes off, in the order of the file: they wait for one another."""
    able = possible(graph.needs)
    return tuple(part for part in graph.machine.parts if Kind.REMOVE.of(part) not in able)
