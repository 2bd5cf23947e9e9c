"""The order of what is left: the one that the person knows with what is new in it, or a better one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine import solve
from sequencer.engine.problem import Limits
from sequencer.graph import explain_conflict
from sequencer.graph.operations import Clause, OperationGraph
from sequencer.graph.reach import nearest_choice
from sequencer.graph.serving import begun_with_putting_away
from sequencer.plan.answer import NotFoundYetError, best_order, bound_in_seconds
from sequencer.plan.onward.present import Present, met, remaining
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.prune import pruned
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.order.tidy import tidied
from sequencer.plan.plan import GoodPractice, Totals
from sequencer.plan.practice.ordering import practised
from sequencer.plan.question import Question, ask

ANY_ORDER = Limits(gap=1.0)
"""However long it takes."""


@dataclass(frozen=True)
class KnownOrder:
    """The order to take, and its bound in seconds.

    Attributes:
        saving: What the best saves, or would save, against the order that the person knows.
        reshuffled: The best was taken.
        known: The order that the person knows, with what is new.
    """

    order: tuple[str, ...]
    bound: Fraction
    saving: Fraction = Fraction(0)
    reshuffled: bool = False
    known: tuple[str, ...] = ()
    practice: GoodPractice | None = None


def order_of_the_rest(
    graph: OperationGraph,
    wanted: Sequence[Clause],
    former: Sequence[str],
    changes: Changes,
    reshuffle: Fraction,
    prefer: Prefer,
    limits: Limits,
) -> KnownOrder:
    """What to do of ``graph`` to reach what is ``wanted``, and in which order.

    Args:
        graph: What can still be done.
        wanted: What is still to be reached.
        former: What the former plan still had to do, in its order; empty: any order is as good.
        changes: What changes of set-up cost from here on.
        reshuffle: Seconds that another order has to save before the former one is given up.
        prefer: What comes first.
        limits: For the search of the best.

    Raises:
        UnreachableError: No order of work reaches it.
    """
    if not wanted:
        return KnownOrder((), Fraction(0))
    kept = _kept_order(graph, wanted, former, changes) if former else None
    if kept is None:
        try:
            answer = best_order(graph, wanted, changes, prefer, limits, None)
        except NotFoundYetError:  # the person needs an order, be it late
            answer = best_order(graph, wanted, changes, prefer, ANY_ORDER, None)
        if answer is None:
            raise explain_conflict(graph, wanted)
        return KnownOrder(answer.order, answer.bound_seconds, reshuffled=bool(former))
    question = ask(graph, wanted, changes, prefer)
    best, bound = _best(graph, wanted, question, kept, changes, reshuffle, limits)
    if set(best) != set(kept):
        again = near_former_order(graph, set(best), former, changes)
        kept = min((kept, again or kept), key=_worth(graph, changes, prefer))
    worth = _worth(graph, changes, prefer)
    saving = max(worth(kept)[1] - worth(best)[1], Fraction(0))
    fewer = worth(best)[0] < worth(kept)[0]
    taken = saving > reshuffle or fewer
    return KnownOrder(best if taken else kept, bound, saving, taken, kept)


def signed(
    found: KnownOrder,
    whole: OperationGraph,
    present: Present,
    former: Sequence[str],
    changes: Changes,
    reshuffle: Fraction,
    prefer: Prefer,
    limits: Limits,
) -> tuple[KnownOrder, OperationGraph]:
    """The same operations as good practice has them: in the order that is known, as far as it can be.

    With the graph of what is left, in which helpers are put away as well.
    """
    served, left = begun_with_putting_away(whole, (*present.done, *present.skipped), found.order)
    rest = remaining(served, present)
    left = tuple(name for name in left if name in rest.operations)
    if not left:
        return found, rest
    known = former and set(found.known) == set(found.order)
    start = (near_former_order(rest, left, former, changes) if known else None) or left
    by_rules = practised(
        rest.restricted(start),
        start,
        changes,
        prefer,
        limits,
        whole=served,
        gone=met(served, present),
    )
    worth = _worth(rest, changes, prefer)
    near, best = worth(by_rules.near), worth(by_rules.order)
    saving = max(near[1] - best[1], Fraction(0))
    better = saving > reshuffle or best[0] < near[0]
    return (
        replace(
            found,
            order=by_rules.order if better or not known else by_rules.near,
            bound=by_rules.bound.seconds,
            saving=saving,
            reshuffled=better if known else found.reshuffled,
            practice=by_rules.practice,
        ),
        rest,
    )


def _worth(
    graph: OperationGraph, changes: Changes, prefer: Prefer
) -> Callable[[Sequence[str]], tuple[int, Fraction]]:
    def worth(order: Sequence[str]) -> tuple[int, Fraction]:
        totals = Totals.of(replay(graph, order, changes))
        return totals.count(prefer), totals.seconds

    return worth


def _kept_order(
    graph: OperationGraph, wanted: Sequence[Clause], former: Sequence[str], changes: Changes
) -> tuple[str, ...] | None:
    """The former order with what is needed now, and without what is needed no more."""
    order = near_former_order(graph, nearest_choice(graph, wanted, former), former, changes)
    if order is None:
        return None
    needful = pruned(graph, wanted, order)
    return order if len(needful) == len(order) else near_former_order(graph, needful, former, changes)


def _best(
    graph: OperationGraph,
    wanted: Sequence[Clause],
    question: Question,
    kept: Sequence[str],
    changes: Changes,
    reshuffle: Fraction,
    limits: Limits,
) -> tuple[tuple[str, ...], Fraction]:
    """The best order of all, or the kept one as soon as it is certain that none saves more than asked."""
    number = {name: place for place, name in enumerate(question.names)}
    cost = question.scale.cost(Totals.of(replay(graph, kept, changes)).seconds)
    gap = limits.gap
    if question.prefer is Prefer.TIME and cost:
        gap = max(gap, min(1.0, question.scale.cost(reshuffle) / cost))
    result = solve(question.problem, replace(limits, gap=gap), None, [number[name] for name in kept])
    found = question.order(result)
    best = pruned(graph, wanted, found)
    rank = {name: place for place, name in enumerate((*kept, *(n for n in best if n not in kept)))}
    best = tidied(graph, best, rank)
    totals = Totals.of(replay(graph, best, changes))
    return best, bound_in_seconds(question, result, totals, exact=len(best) == len(found))
