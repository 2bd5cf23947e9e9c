"""Late filling: what comes against a bead is filled when that has cured, where other work may come first.

Waiting counts in no total: of two orders that take as long, the one in which less is waited is the better.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from sequencer.graph.operations import Kind, OperationGraph
from sequencer.plan.closing.sealing import waiting, wetted
from sequencer.plan.order.replay import is_workable, replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Hold, Totals
from sequencer.plan.practice.rules import Rule, kept_by


def filled_late(
    graph: OperationGraph,
    order: Sequence[str],
    holds: Sequence[Hold],
    changes: Changes,
    rules: Sequence[Rule],
) -> tuple[tuple[str, ...], tuple[Hold, ...]]:
    """Put off each filling that waits for a cure, until nothing is left to wait for, or as far as it helps.

    Args:
        graph: The reversed graph of the job with its beads.
        order: An order of work.
        holds: What waits for a sealant in it.
        changes: What changes of set-up cost.
        rules: The rules of good practice that the order keeps; the other keeps them as well.

    Returns:
        An order that takes no longer and asks for no more tool changes and walks, and what waits in it.
    """
    order, holds = tuple(order), tuple(holds)
    for number in range(len(holds)):
        steps = replay(graph, order, changes)
        found, least, totals = (order, holds), waiting(steps, holds[number]), Totals.of(steps)
        for trial in _later(graph, order, holds, number):
            if not least:
                break
            steps, then = replay(graph, trial, changes), _moved(graph, holds, order, trial)
            if (
                waiting(steps, then[number]) < least
                and Totals.of(steps).no_worse(totals)
                and is_workable(graph, trial[::-1])
                and all(kept_by(rules, _taking_apart(graph, trial)))
            ):
                found, least = (trial, then), waiting(steps, then[number])
        order, holds = found
    return order, holds


def _later(
    graph: OperationGraph, order: tuple[str, ...], holds: Sequence[Hold], number: int
) -> Iterator[tuple[str, ...]]:
    """The orders in which the filling and what follows of it come later; none between a bead and its end."""
    first = holds[number].before_step
    if first is None:
        return
    fluid = graph.operations[order[first - 1]].subject
    last = first
    while last < len(order) and graph.operations[order[last]].subject == fluid:
        last += 1
    for place in range(last + 1, len(order) + 1):
        if not any(hold.seal_step <= place < hold.after_step for hold in holds):
            yield (*order[: first - 1], *order[last:place], *order[first - 1 : last], *order[place:])


def _moved(
    graph: OperationGraph, holds: Sequence[Hold], old: Sequence[str], new: Sequence[str]
) -> tuple[Hold, ...]:
    """The holds of an order under the numbers of another."""
    at = {name: place for place, name in enumerate(new, start=1)}

    def moved(hold: Hold) -> Hold:
        seal, after = (at[old[step - 1]] if step else 0 for step in (hold.seal_step, hold.after_step))
        fills = (at.get(Kind.FILL.of(fluid), 0) for fluid in wetted(graph.machine, hold.sealed))
        before = min((step for step in fills if step > after), default=None)
        return replace(hold, seal_step=seal, after_step=after, before_step=before)

    return tuple(map(moved, holds))


def _taking_apart(graph: OperationGraph, order: Sequence[str]) -> list[str]:
    """The order read backwards, without its beads, as the rules have it."""
    return [name for name in reversed(order) if graph.operations[name].kind is not Kind.SEAL]
