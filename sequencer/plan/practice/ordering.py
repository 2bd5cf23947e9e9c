"""The best order of what the plain plan does, under the rules of good practice that can be kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine.problem import Limits, Result, Status
from sequencer.graph.operations import Because, Clause, OperationGraph, Reason
from sequencer.plan.answer import Watch, bound_in_seconds, put
from sequencer.plan.plan import Bound, GoodPractice, Totals
from sequencer.plan.practice.job import Job
from sequencer.plan.practice.judge import some_order
from sequencer.plan.practice.keep import Kept, keep
from sequencer.plan.practice.rules import Rule, kept_by
from sequencer.plan.prefer import Prefer
from sequencer.plan.question import Question, ask
from sequencer.plan.replay import replay
from sequencer.plan.setups import Changes
from sequencer.plan.tidy import tidied


@dataclass(frozen=True)
class Practised:
    """An order of taking apart (on the way back read backwards), how good it is, and what it keeps."""

    order: tuple[str, ...]
    bound: Bound
    practice: GoodPractice


def practised(
    graph: OperationGraph,
    plain: Sequence[str],
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    watch: Watch | None = None,
    *,
    back: bool = False,
) -> Practised:
    """Order the operations of ``plain`` as good practice has it.

    Args:
        graph: What is possible; on the way back in reversed time.
        plain: The order without good practice, in the time of ``graph``.
        changes: What going from one set-up to another costs.
        prefer: What comes first.
        limits: For the search of the best order; which rules are kept is found out under a limit of its own.
        watch: Told how the search goes on.
        back: Whether it is the way back.
    """
    job = Job(graph.restricted(plain), back)
    goals = [
        Clause((name,), Reason(Because.STATE, "the plan does it", op.place))
        for name, op in job.graph.operations.items()
    ]

    kept = keep(job, lambda rules: some_order(job, rules, plain))
    question = ask(job.graph, goals, changes, prefer, backwards=back, rules=kept.rules)
    result = put(question, limits, watch)
    if result.status is Status.IMPOSSIBLE:
        raise AssertionError("only rules that some order keeps are kept")
    relaxed = question.order(result)
    bound = _bound(job, question, result, relaxed, changes)
    order = _nearest(job, kept, relaxed, changes, prefer)
    totals = _totals(job, order, changes)
    if totals.count(prefer) != bound.count:
        bound = replace(bound, seconds=Fraction(0), reached=False)
    elif totals.seconds != bound.seconds:
        bound = replace(bound, reached=False)
    added = totals.seconds - _totals(job, plain, changes).seconds
    return Practised(order, bound, GoodPractice(added, tuple(kept.rules), tuple(kept.dropped)))


def _bound(job: Job, question: Question, result: Result, relaxed: Sequence[str], changes: Changes) -> Bound:
    """What is proven: the least cost under the orders alone, which no order that keeps more is below."""
    totals = _totals(job, relaxed, changes)
    seconds = bound_in_seconds(question, result, totals)
    return Bound(seconds, question.scale.split(result.bound)[0], result.proven)


def _nearest(
    job: Job, kept: Kept, relaxed: tuple[str, ...], changes: Changes, prefer: Prefer
) -> tuple[str, ...]:
    """The best order at hand that keeps all the rules: the engine's where it does, else one near to it."""
    relaxed = _tidy(job, (), relaxed, changes)
    if all(kept_by(kept.rules, relaxed)):
        return relaxed
    found = [order for order in (some_order(job, kept.rules, relaxed), kept.order) if order]
    worth = {order: _totals(job, order, changes) for order in found}
    return min(found, key=lambda order: (worth[order].count(prefer), worth[order].seconds))


def _totals(job: Job, order: Sequence[str], changes: Changes) -> Totals:
    """What an order costs; that of the way back is in reversed time, and costs are those of the work."""
    return Totals.of(replay(job.graph, order[::-1] if job.back else order, changes))


def _tidy(job: Job, rules: Sequence[Rule], order: tuple[str, ...], changes: Changes) -> tuple[str, ...]:
    """The same order down the file, where that keeps the rules as well and costs the same."""
    step = -1 if job.back else 1
    rank = {name: step * number for number, name in enumerate(job.graph.operations)}
    tidy = tidied(job.graph, order, rank)
    same = _totals(job, tidy, changes) == _totals(job, order, changes)
    return tidy if same and all(kept_by(rules, tidy)) else order
