"""The best order of what the plain plan does, under the rules of good practice that can be kept."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.engine.problem import Limits, Problem, Progress, Result, Status
from sequencer.engine.solve import solve
from sequencer.graph.operations import Because, Clause, OperationGraph, Reason
from sequencer.plan.answer import Watch, bound_in_seconds, put
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.setups import Changes
from sequencer.plan.order.tidy import tidied
from sequencer.plan.plan import Added, Bound, GoodPractice
from sequencer.plan.practice.at_once import at_once, totals_of
from sequencer.plan.practice.judge import some_order
from sequencer.plan.practice.keep import KeptRules, keep
from sequencer.plan.practice.onward import begun
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Rule, kept_by
from sequencer.plan.question import ask


@dataclass(frozen=True)
class PlainOrder:
    """An order without good practice, in the time of its graph, and whether no other is quicker."""

    order: Sequence[str]
    proven: bool


@dataclass(frozen=True)
class Practised:
    """An order of taking apart (on the way back read backwards), how good it is, and what it keeps.

    ``near`` is the order nearest to the one without rules that keeps the same.
    """

    order: tuple[str, ...]
    bound: Bound
    practice: GoodPractice
    near: tuple[str, ...]


def practised(
    graph: OperationGraph,
    order: Sequence[str],
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    watch: Watch | None = None,
    *,
    plain: PlainOrder | None = None,
    back: bool = False,
    whole: OperationGraph | None = None,
    gone: Collection[str] = (),
) -> Practised:
    """Put the operations of ``order`` in the order that good practice has.

    Args:
        graph: What is possible; on the way back in reversed time.
        order: What is done, in the time of ``graph``, in some order that the machine allows.
        changes: What going from one set-up to another costs.
        prefer: What comes first.
        limits: For the search of the best order; which rules are kept is found out under a limit of its own.
        watch: Told how the search goes on.
        plain: The order without good practice, if there is one: what it adds is told from that.
        back: Whether it is the way back.
        whole: In the middle of a job, all that is possible, with what is done already.
        gone: What is done, or counts so; ``order`` is the rest.
    """
    job = PracticeJob(graph.restricted(order), back)
    goals = [
        Clause((name,), Reason(Because.STATE, "the plan does it", op.place))
        for name, op in job.graph.operations.items()
    ]

    kept = kept_near(job, order, whole, gone, changes.place)
    question = ask(job.graph, goals, changes, prefer, backwards=back, rules=kept.rules)
    number = {name: place for place, name in enumerate(question.names)}
    warm = [number[name] for name in kept.order or order]
    if back:
        warm.append(len(warm))  # the start, which ends an order in reversed time

    def by(problem: Problem, limits: Limits, progress: Progress | None) -> Result:
        return solve(problem, limits, progress, warm)

    result = put(question, limits, watch, by)
    if result.status is Status.IMPOSSIBLE:
        raise AssertionError("only rules that some order keeps are kept")
    best = _tidy(job, kept.rules, question.order(result), changes)
    best = at_once(job, kept.rules, best, changes)
    totals = totals_of(job, best, changes)
    bound = Bound(
        bound_in_seconds(question, result, totals), question.scale.split(result.bound)[0], result.proven
    )
    added = None
    if plain is not None:
        more = totals.seconds - totals_of(job, plain.order, changes).seconds
        added = Added(more if plain.proven else max(more, Fraction(0)), plain.proven)
    signed = GoodPractice(added, tuple(kept.rules), tuple(kept.dropped))
    return Practised(best, bound, signed, kept.order or tuple(order))


def kept_near(
    job: PracticeJob,
    order: Sequence[str],
    whole: OperationGraph | None = None,
    gone: Collection[str] = (),
    place: str | None = None,
) -> KeptRules:
    """What can be kept of the rules in a job, or in what is left of it, with an order near ``order``.

    In the middle of a job the person stands at ``place``.
    """

    def judge(rules: Sequence[Rule]) -> tuple[str, ...] | None:
        if whole is not None and all(kept_by(rules, order)):
            return tuple(order)  # the order that the person knows is good as it is
        return some_order(job, rules, order, by_place=whole is None)

    if whole is None:
        return keep(job, judge)
    from_the_start, left = begun(whole, gone, job, place)
    return keep(from_the_start, judge, left)


def _tidy(
    job: PracticeJob, rules: Sequence[Rule], order: tuple[str, ...], changes: Changes
) -> tuple[str, ...]:
    """The same order down the file, where that keeps the rules as well and costs the same."""
    step = -1 if job.back else 1
    rank = {name: step * number for number, name in enumerate(job.graph.operations)}
    tidy = tidied(job.graph, order, rank)
    same = totals_of(job, tidy, changes) == totals_of(job, order, changes)
    return tidy if same and all(kept_by(rules, tidy)) else order
