"""Work that has to act for a while before it is of use: other steps are done meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Totals


@dataclass(frozen=True)
class Soak:
    """A task that is to come at once, and what should wait until it has acted for so long."""

    task: str
    waiting: tuple[str, ...]
    seconds: Fraction


def acting(
    graph: OperationGraph,
    order: Sequence[str],
    changes: Changes,
    soak: Soak,
) -> tuple[tuple[str, ...], Fraction]:
    """Put off what waits for a soak to act, as far as other steps fill the time and that is worth it.

    Args:
        graph: What is possible from the present state on.
        order: An order of work with the soak's task in it.
        changes: What changes of set-up cost.
        soak: What has to act.

    Returns:
        The order, and the seconds of idle waiting that are left in it.
    """
    later = _put_off(graph, order, changes, soak)

    def whole(one: Sequence[str]) -> Fraction:
        return Totals.of(replay(graph, one, changes)).seconds + idle(graph, one, changes, soak)

    best = min((tuple(order), later), key=whole)
    return best, idle(graph, best, changes, soak)


def idle(
    graph: OperationGraph,
    order: Sequence[str],
    changes: Changes,
    soak: Soak,
) -> Fraction:
    """The seconds to wait before the first of the waiting steps."""
    steps = replay(graph, order, changes)
    start = order.index(soak.task)
    first = next((n for n, name in enumerate(order) if n > start and name in soak.waiting), None)
    if first is None:
        return Fraction(0)
    between = sum((step.seconds + step.change_seconds for step in steps[start + 1 : first]), Fraction(0))
    return max(soak.seconds - between - steps[first].change_seconds, Fraction(0))


def _put_off(
    graph: OperationGraph,
    order: Sequence[str],
    changes: Changes,
    soak: Soak,
) -> tuple[str, ...]:
    """The same steps; those that can do without the waiting ones come first until the time is over."""
    rules = rules_as_clauses(graph.restricted(order))
    start = order.index(soak.task) + 1
    sooner, held = list(order[:start]), []
    done = set(sooner)
    rest = list(order[start:])
    while rest:
        name = rest.pop(0)
        clauses = (*graph.needs[name], *rules.get(name, ()))
        if name in soak.waiting or any(done.isdisjoint(clause.any_of) for clause in clauses):
            held.append(name)
            continue
        sooner.append(name)
        done.add(name)
        spent = Totals.of(replay(graph, sooner, changes)).seconds
        if spent - Totals.of(replay(graph, sooner[:start], changes)).seconds >= soak.seconds:
            break
    return (*sooner, *held, *rest)
