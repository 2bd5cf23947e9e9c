"""What one part more adds to a job at the least, and often just that: a search that can be saved.

Take the best order for the job with the extra. Leave out of it all that only the extra calls for, and where
the job itself is content with the part moved aside, move it aside and leave it at that. What is left does the
job, so it takes no less than the job's own best order; what was left out comes on top. That holds where
leaving a step out never makes the rest dearer: where a swap is no dearer than putting down and picking up.

Where some order takes no more than this bound, it is proven without a search.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction

from sequencer.graph.blocker_tree import comes_off
from sequencer.graph.operations import Clause, Kind, OperationGraph
from sequencer.graph.reach import nearest_choice, relevant
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.order.prune import pruned
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Totals


def least_added(graph: OperationGraph, wanted: Sequence[Clause], changes: Changes, part: str) -> Fraction:
    """Seconds that taking ``part`` off as well adds to every way of doing the job; 0 where none is known.

    Args:
        graph: What can be done at all, for the job and the extra together.
        wanted: What the job without the extra has to come to.
        changes: Of the machine.
        part: The extra.
    """
    pace = changes.machine.pace
    if pace.swap > pace.put_down + pace.pick_up:
        return Fraction(0)
    off = comes_off(part)
    always = _always(graph, off)
    called = relevant(graph, wanted)
    if off not in called:
        return _handling(graph, always | {off}, called)
    aside = Kind.MOVE_ASIDE.of(part)
    if not _will_do(graph, wanted, called, aside, off):
        return Fraction(0)
    called = relevant(graph.restricted(n for n in graph.operations if n != off), _left(wanted, off))
    own, instead = graph.operations[off].seconds, graph.operations[aside].seconds
    return max(Fraction(0), own - instead + _handling(graph, always, called))


def _will_do(
    graph: OperationGraph, wanted: Iterable[Clause], called: Collection[str], aside: str, off: str
) -> bool:
    """Whether, as far as the job goes, moving the part aside serves wherever taking it off does."""
    if aside not in graph.operations or any(rule.then == off for rule in graph.follows):
        return False
    asked = (*wanted, *(clause for name in called for clause in graph.needs[name]))
    serves = all(aside in clause.any_of for clause in asked if off in clause.any_of)
    waits = {clause.any_of for clause in graph.needs[off]}
    return serves and {clause.any_of for clause in graph.needs[aside]} <= waits


def _left(wanted: Iterable[Clause], off: str) -> list[Clause]:
    return [Clause(tuple(n for n in goal.any_of if n != off), goal.reason) for goal in wanted]


def _always(graph: OperationGraph, name: str) -> set[str]:
    """What is done before ``name`` whatever is chosen."""
    found: set[str] = set()
    frontier = [name]
    while frontier:
        for clause in graph.needs[frontier.pop()]:
            if len(clause.any_of) == 1 and clause.any_of[0] not in found:
                found.add(clause.any_of[0])
                frontier.append(clause.any_of[0])
    return found


def _handling(graph: OperationGraph, done: Collection[str], called: Collection[str]) -> Fraction:
    """The seconds of what of ``done`` the job never calls for, less what slackening may save of them."""
    fresh = {name for name in done if name not in called}
    seconds = sum((graph.operations[name].seconds for name in fresh), Fraction(0))
    for pair in graph.slackenings:
        undone = pair.undo in fresh and (pair.slacken in fresh or pair.slacken in called)
        if undone or (pair.slacken in fresh and pair.undo in called):
            seconds -= pair.saved
    return max(Fraction(0), seconds)


def extended(
    graph: OperationGraph, wanted: Sequence[Clause], changes: Changes, former: Sequence[str], part: str
) -> tuple[str, ...] | None:
    """A good order with ``part`` off as well, out of one without: what is new at its cheapest places.

    A part that was moved aside comes off at that place instead.
    """
    aside, off = Kind.MOVE_ASIDE.of(part), comes_off(part)
    former = [off if name == aside else name for name in former]
    chosen = nearest_choice(graph, wanted, former)
    order = near_former_order(graph, chosen, former, changes)
    return None if order is None else pruned(graph, wanted, order)


def seconds_of(graph: OperationGraph, order: Sequence[str], changes: Changes) -> Fraction:
    """What an order takes."""
    return Totals.of(replay(graph, order, changes)).seconds
