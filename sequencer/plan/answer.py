"""One question put to the engine and its answer in names and seconds, with nothing needless in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.engine import solve
from sequencer.engine.problem import Limits, Problem, Progress, Result, Status
from sequencer.errors import SequencerError
from sequencer.graph.operations import Clause, Kind, Op, OperationGraph
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.prune import pruned
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.order.tidy import tidied
from sequencer.plan.plan import Bound, Totals
from sequencer.plan.question import Question, ask

Watch = Callable[[Fraction, Fraction], None]
"""Called with (best seconds so far, bound in seconds) while the engine works."""

Solver = Callable[[Problem, Limits, Progress | None], Result]
"""What answers a question: the engine as it is, or in a conversation about questions that are much alike."""


class NotFoundYetError(SequencerError):
    """A limit came before any order was found, and before it was clear that there is none."""

    def __init__(self) -> None:
        super().__init__("no order was found within the limit", "give it more time, or no limit")


MOST_TRIES = 4
"""Further questions when the cheapest order holds something needless."""


@dataclass(frozen=True)
class Answer:
    """An order by name, what it costs, and what is proven about it."""

    order: tuple[str, ...]
    totals: Totals
    bound_seconds: Fraction
    bound_count: int
    proven: bool

    @property
    def bound(self) -> Bound:
        """How good the order is."""
        return Bound(self.bound_seconds, self.bound_count, self.proven)


def put(question: Question, limits: Limits, watch: Watch | None, by: Solver = solve) -> Result:
    """Solve a question, telling whoever watches in seconds.

    Raises:
        NotFoundYetError: A limit came before any order.
    """
    progress: Progress | None = None
    if watch is not None:
        told = watch

        def progress(best: int, bound: int) -> None:
            told(question.scale.split(best)[1], question.scale.split(bound)[1])

    result = by(question.problem, limits, progress)
    if result.status is Status.UNKNOWN:
        raise NotFoundYetError
    return result


def best_order(
    graph: OperationGraph,
    goals: Sequence[Clause],
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    watch: Watch | None,
    by: Solver = solve,
) -> Answer | None:
    """The cheapest order that reaches ``goals`` and does nothing needless; None when there is none.

    A question without an answer within the limits raises ``NotFoundYetError``.

    Where a swap costs more than putting down and picking up, a needless step by hand can make an order
    cheaper. Then the question is put again without what was needless; the first answer stays the bound.
    """
    question = ask(graph, goals, changes, prefer)
    result = put(question, limits, watch, by)
    if result.status is Status.IMPOSSIBLE:
        return None
    found = question.order(result)
    order = pruned(graph, goals, found)
    if order != found:
        order = _needful(graph, goals, changes, prefer, limits, found, order)
    totals = Totals.of(replay(graph, order, changes))
    bound = bound_in_seconds(question, result, totals, exact=order == found)
    order = tidied(graph, order)
    proven = bound == totals.seconds and result.proven
    return Answer(order, totals, bound, question.scale.split(result.bound)[0], proven)


def _needful(
    graph: OperationGraph,
    goals: Sequence[Clause],
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    found: Sequence[str],
    order: tuple[str, ...],
) -> tuple[str, ...]:
    """The best of the orders without needless steps that come of leaving those steps out altogether."""
    best = order
    left_out: set[str] = set()
    for _ in range(MOST_TRIES):
        left_out |= {name for name in set(found) - set(order) if Op(name).kind is not Kind.CRACK}
        smaller = graph.restricted(name for name in graph.operations if name not in left_out)
        wanted = [
            Clause(tuple(n for n in goal.any_of if n in smaller.operations), goal.reason) for goal in goals
        ]
        question = ask(smaller, wanted, changes, prefer)
        try:
            result = put(question, limits, None)
        except NotFoundYetError:
            break
        if result.status is Status.IMPOSSIBLE:
            break
        found = question.order(result)
        order = pruned(graph, goals, found)
        best = min(best, order, key=lambda o: _worth(graph, o, changes, prefer))
        if order == found:
            break
    return best


def _worth(
    graph: OperationGraph, order: Sequence[str], changes: Changes, prefer: Prefer
) -> tuple[int, Fraction]:
    totals = Totals.of(replay(graph, order, changes))
    return totals.count(prefer), totals.seconds


def bound_in_seconds(question: Question, result: Result, totals: Totals, *, exact: bool = True) -> Fraction:
    """The engine's bound as seconds; the plan's own time when that is proven.

    With a preferred count the bound is on count and time together: while the count may still fall, nothing
    is proven about the time, and the bound is 0. ``exact`` False: something needless was left out of the
    engine's order since, so that its proof is a bound and no more.
    """
    if result.proven and exact:
        return totals.seconds
    count, seconds = question.scale.split(result.bound)
    return min(seconds, totals.seconds) if count == totals.count(question.prefer) else Fraction(0)
