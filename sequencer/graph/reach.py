"""Which operations a target can call for, and which can be done at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sequencer.graph.operations import Clause, OperationGraph


def possible(
    needs: Mapping[str, Sequence[Clause]], extra: Mapping[str, Sequence[Clause]] | None = None
) -> set[str]:
    """The operations that can be done in some order, by repeatedly doing whatever is free.

    Needs are monotone (doing more never blocks), so this finds every one. ``extra`` adds clauses.
    """
    waiting: dict[str, list[Clause]] = {
        name: [*clauses, *(extra or {}).get(name, ())] for name, clauses in needs.items()
    }
    done: set[str] = set()
    while free := [
        name
        for name, clauses in waiting.items()
        if all(any(other in done for other in clause.any_of) for clause in clauses)
    ]:
        done.update(free)
        for name in free:
            del waiting[name]
    return done


def relevant(graph: OperationGraph, goals: Iterable[Clause]) -> set[str]:
    """The AND/OR ancestors of the goals: no other operation belongs in a plan.

    A crack comes along when both of its sides do, and then its own needs come along too.
    """
    found: set[str] = set()
    frontier = [name for clause in goals for name in clause.any_of]
    while frontier:
        while frontier:
            name = frontier.pop()
            if name not in found:
                found.add(name)
                frontier += (other for clause in graph.needs[name] for other in clause.any_of)
        frontier = [
            rule.crack
            for rule in graph.cracks
            if rule.crack not in found
            and not found.isdisjoint(rule.undoing)
            and not found.isdisjoint(rule.touching)
        ]
    return found
