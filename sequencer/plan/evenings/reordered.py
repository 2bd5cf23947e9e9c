"""The same plan in another order of its steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from sequencer.graph.reverse import way_back
from sequencer.plan.closing.sealing import keeps_windows, with_seals
from sequencer.plan.order.replay import opened_by, replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Bound, Plan, Refit, Teardown, Totals
from sequencer.plan.refit import gates_of

P = TypeVar("P", bound=Plan)


def reordered(plan: P, order: Sequence[str]) -> P | None:
    """The plan in that order, with its gates and cures; None where a sealant would skin over in it.

    What was proven of the time of any order still is.
    """
    if order == tuple(op.name for op in plan.operations):
        return plan
    if isinstance(plan, Teardown):
        graph = plan.graph.restricted(order)
        steps = replay(graph, order, Changes.of(plan.machine), opened_by(graph, order))
        return _told(replace(plan, steps=steps), plan)
    assert isinstance(plan, Refit)
    back, holds = with_seals(
        way_back(plan.teardown.graph, (op.name for op in plan.teardown.operations)), order
    )
    changes = Changes.of(plan.machine, back.drives)
    if not keeps_windows(back.graph, order, changes):
        return None
    steps = replay(back.graph, order, changes)
    rest = replace(back, graph=back.graph.restricted(order))
    return _told(replace(plan, steps=steps, gates=gates_of(rest, order), holds=holds), plan)


def _told(plan: P, former: P) -> P:
    """With what is known of its time, by what was known of the former order."""
    found = Totals.of(plan.steps)
    bound, practice = former.bound, former.practice
    if bound is not None:
        reached = bound.reached and found == former.totals
        bound = Bound(min(bound.seconds, found.seconds), bound.count, reached)
    if practice is not None and practice.added is not None:
        practice = replace(practice, added=practice.added.more(found.seconds - former.totals.seconds))
    return replace(plan, bound=bound, practice=practice)
