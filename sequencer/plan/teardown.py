"""The way in: graph and engine put together into the proven quickest removal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from sequencer.engine import solve
from sequencer.engine.problem import Limits, Progress, Result, Status
from sequencer.graph import Target, derive, explain_conflict, goals, narrowed
from sequencer.machine.model import Machine
from sequencer.plan.naive import top_to_bottom
from sequencer.plan.plan import Teardown, Totals
from sequencer.plan.prefer import Prefer
from sequencer.plan.prune import pruned
from sequencer.plan.question import Question, ask
from sequencer.plan.replay import opened_by, replay
from sequencer.plan.setups import Changes

Watch = Callable[[Fraction, Fraction], None]
"""Called with (best seconds so far, bound in seconds) while the engine works."""


def plan_teardown(
    machine: Machine,
    targets: Sequence[Target],
    prefer: Prefer = Prefer.TIME,
    limits: Limits = Limits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
) -> Teardown:
    """Choose and order the operations that reach ``targets`` at the least cost.

    Raises:
        UnreachableError: No order of work reaches the targets; it says which circle keeps them.
    """
    whole = derive(machine)
    wanted = goals(whole, targets)
    graph = narrowed(whole, wanted)
    changes = Changes.of(machine)
    question = ask(graph, wanted, changes, prefer)
    result = solve(question.problem, limits, watched(question, watch))
    if result.status is Status.IMPOSSIBLE:
        raise explain_conflict(graph, wanted)
    found = names_in_order(question, result)
    order = pruned(graph, wanted, found)
    steps = replay(graph, order, changes, opened_by(graph, order))
    totals = Totals.of(steps)
    file_order = top_to_bottom(graph, wanted, order)
    return Teardown(
        machine=machine,
        targets=tuple(targets),
        prefer=prefer,
        steps=steps,
        totals=totals,
        bound_seconds=bound_in_seconds(question, result, totals, exact=order == found),
        proven=result.proven and order == found,
        graph=graph,
        top_to_bottom=Totals.of(replay(graph, file_order, changes)),
    )


def watched(question: Question, watch: Watch | None) -> Progress | None:
    """The engine's progress in seconds for whoever watches."""
    if watch is None:
        return None

    def tell(best: int, bound: int) -> None:
        watch(question.scale.split(best)[1], question.scale.split(bound)[1])

    return tell


def names_in_order(question: Question, result: Result) -> tuple[str, ...]:
    """The engine's order by name, without the operation that stands for the start."""
    return tuple(question.names[number] for number in result.order if number < len(question.names))


def bound_in_seconds(question: Question, result: Result, totals: Totals, *, exact: bool = True) -> Fraction:
    """The engine's bound as seconds; the plan's own time when that is proven.

    With a preferred count the bound is on count and time together: while the count may still fall, nothing
    is proven about the time, and the bound is 0. ``exact`` False: something needless was left out of the
    engine's order since, so that its proof is a bound and no more.
    """
    if result.proven and exact:
        return totals.seconds
    count, seconds = question.scale.split(result.bound)
    best_count, _ = question.scale.split(result.cost)
    return min(seconds, totals.seconds) if count == best_count else Fraction(0)
