"""Which operations a target can call for, and which can be done at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sequencer.graph.operations import Clause, OperationGraph


def rounds(
    needs: Mapping[str, Sequence[Clause]], extra: Mapping[str, Sequence[Clause]] | None = None
) -> dict[str, int]:
    """The round in which each operation is free when everything free is done at once; the rest never is.

    Needs are monotone (doing more never blocks), so this finds every operation that can be done in some
    order. ``extra`` adds clauses.
    """
    waiting: dict[str, list[Clause]] = {
        name: [*clauses, *(extra or {}).get(name, ())] for name, clauses in needs.items()
    }
    done: dict[str, int] = {}
    number = 0
    while free := [
        name
        for name, clauses in waiting.items()
        if all(any(other in done for other in clause.any_of) for clause in clauses)
    ]:
        done.update(dict.fromkeys(free, number))
        number += 1
        for name in free:
            del waiting[name]
    return done


def possible(
    needs: Mapping[str, Sequence[Clause]], extra: Mapping[str, Sequence[Clause]] | None = None
) -> set[str]:
    """The operations that can be done in some order."""
    return set(rounds(needs, extra))


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
