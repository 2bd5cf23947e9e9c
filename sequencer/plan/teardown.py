"""The way in: graph and engine put together into the proven quickest removal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sequencer.engine.problem import Limits
from sequencer.graph import Target, derive, explain_conflict, goals, narrowed
from sequencer.graph.serving import with_putting_away
from sequencer.machine.model import Machine
from sequencer.plan.answer import Watch, best_order
from sequencer.plan.order.naive import top_to_bottom
from sequencer.plan.order.patience import in_passing, shared
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Teardown
from sequencer.plan.practice.ordering import PlainOrder, practised
from sequencer.plan.practice.rules import Practice


def plan_teardown(
    machine: Machine,
    targets: Sequence[Target],
    prefer: Prefer = Prefer.TIME,
    limits: Limits = Limits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
    practice: Practice = Practice.NONE,
    *,
    only_to_undo: bool = False,
) -> Teardown:
    """Choose and order the operations that reach ``targets`` at the least cost.

    With good ``practice`` the same operations are put in the best order that keeps its rules; in any such
    order where they are wanted ``only_to_undo`` them, which depends on what is done and not on when.

    Raises:
        UnreachableError: No order of work reaches the targets; it says which circle keeps them.
    """
    whole = derive(machine)
    graph, wanted = narrowed(whole, goals(whole, targets))
    changes = Changes.of(machine)
    turns = shared(limits, among=1 if practice is Practice.NONE else 2)
    answer = best_order(graph, wanted, changes, prefer, next(turns), watch)
    if answer is None:
        raise explain_conflict(graph, wanted)
    order = answer.order
    file_order = top_to_bottom(graph, wanted, order)
    if practice is Practice.NONE:
        return teardown_of(graph, targets, order, changes, prefer, answer.bound, file_order)
    served, start = with_putting_away(graph, order)
    turn = in_passing(next(turns)) if only_to_undo else next(turns)
    signed = practised(served, start, changes, prefer, turn, watch, plain=PlainOrder(order, answer.proven))
    found = teardown_of(served, targets, signed.order, changes, prefer, signed.bound, file_order)
    return replace(found, practice=signed.practice)
