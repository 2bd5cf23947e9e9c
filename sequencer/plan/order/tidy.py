"""The same order, said the same way: within a set-up, work goes down the file where the machine allows it.

Of a way back, what takes no time stands where a person looks for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import Kind, OperationGraph
from sequencer.machine.model import Joint

_FASTENING = (Kind.FASTEN, Kind.TIGHTEN)


def asked_at_once(gates: Mapping[str, Joint], order: Sequence[str]) -> tuple[str, ...]:
    """``order`` of a way back with each open figure asked for right behind the fastening of its joint.

    It takes no time, and is done where and with what the joint is fastened: nothing gets longer by it.
    """
    behind: dict[str, str] = {}
    for gate, joint in gates.items():
        steps = [name for name in order if name in [kind.of(joint.path) for kind in _FASTENING]]
        if steps and gate in order and joint.torque and joint.torque.open and not (joint.crack or joint.face):
            behind[steps[-1]] = gate
    moved = set(behind.values())
    return tuple(
        name
        for one in order
        if one not in moved
        for name in ((one, behind[one]) if one in behind else (one,))
    )


def tidied(
    graph: OperationGraph, order: Sequence[str], rank: Mapping[str, int] | None = None
) -> tuple[str, ...]:
    """``order`` with each run in one set-up sorted by the file, as far as needs and rules let it.

    Neither the set-ups nor their sequence change, so the costs don't either. An engine that finds another
    of several equal orders then still tells the same plan more often than not, and a person reads it as the
    file is written.

    Args:
        graph: The operations and their needs.
        order: A valid order.
        rank: What comes first among what is free; the order of the graph if left out.
    """
    ranks = rank or {name: number for number, name in enumerate(graph.operations)}
    rules = rules_as_clauses(graph.restricted(order))
    done: set[str] = set()
    tidy: list[str] = []

    def free(name: str) -> bool:
        clauses = (*graph.needs[name], *rules.get(name, ()))
        return all(not done.isdisjoint(clause.any_of) for clause in clauses)

    for _, run in groupby(order, key=lambda n: (graph.operations[n].position, graph.operations[n].tool)):
        waiting = sorted(run, key=ranks.__getitem__)
        while waiting:
            name = next(filter(free, waiting))
            waiting.remove(name)
            done.add(name)
            tidy.append(name)
    return tuple(tidy)
