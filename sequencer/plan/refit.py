"""The way back: the reversed graph solved afresh, with its torque gates."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine.problem import Limits, Status
from sequencer.graph.kept import kept_by_a_part
from sequencer.graph.operations import OperationGraph
from sequencer.graph.reverse import WayBack, way_back
from sequencer.graph.serving import inserted, set_up_again
from sequencer.plan.answer import Watch, bound_in_seconds, put
from sequencer.plan.closing.beads import too_long
from sequencer.plan.closing.sealing import sealed
from sequencer.plan.late import filled_late
from sequencer.plan.order.patience import in_passing, shared
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.order.tidy import asked_at_once, tidied
from sequencer.plan.plan import Bound, Gate, GoodPractice, Hold, Refit, Step, Teardown, Totals
from sequencer.plan.practice.ordering import PlainOrder, practised
from sequencer.plan.practice.rules import Dropped, Practice, RuleName, Why, kept_by
from sequencer.plan.question import ask


def plan_refit(
    teardown: Teardown,
    prefer: Prefer = Prefer.TIME,
    limits: Limits = Limits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
    practice: Practice = Practice.NONE,
) -> Refit:
    """Order the reassembly after ``teardown`` at the least cost, every gate before what closes it off.

    With good ``practice`` at the least cost that keeps its rules.
    """
    back = way_back(teardown.graph, (op.name for op in teardown.operations))
    changes = Changes.of(teardown.machine, back.drives)
    return ordered(teardown, back, changes, prefer, limits, watch, practice=practice)


def ordered(
    teardown: Teardown,
    back: WayBack,
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    watch: Watch | None = None,
    already: Collection[str] = (),
    practice: Practice = Practice.NONE,
    whole: OperationGraph | None = None,
) -> Refit:
    """Put the operations of ``back`` in the order of work, with sealants and gates.

    ``already`` holds the steps of the reassembly that are done and not in ``back`` any more; ``whole`` is the
    reversed graph with them.
    """
    best = _ordered(back, changes, prefer, limits, watch, practice, whole, already)
    best = replace(best, order=asked_at_once(back.gates, best.order))
    graph, order, holds = sealed(back.graph, best.order, changes, already)
    sealing = sum((graph.operations[n].seconds for n in order if n not in back.graph.operations), Fraction(0))
    bare = tuple(n for n in order if n in back.graph.operations)
    signed = _still_kept(best, bare, back.graph, changes, replay(graph, order, changes))
    if signed is not None:
        order, holds = filled_late(graph, order, holds, changes, signed.kept)
    reached = best.bound.reached and bare == best.order
    bound = replace(best.bound, seconds=best.bound.seconds + sealing, reached=reached)
    steps = replay(graph, order, changes)
    return refit_of(teardown, back, steps, holds, prefer, bound, already, practice=signed)


def refit_of(
    teardown: Teardown,
    back: WayBack,
    steps: Sequence[Step],
    holds: Sequence[Hold],
    prefer: Prefer,
    bound: Bound | None,
    already: Iterable[str],
    skipped: Iterable[str] = (),
    practice: GoodPractice | None = None,
) -> Refit:
    """The way back by its steps, however their order was come by: found and proven, carried on, or done.

    ``back`` holds what is left of it; ``already`` was done or left out before, ``skipped`` left out.
    """
    return Refit(
        machine=teardown.machine,
        targets=teardown.targets,
        prefer=prefer,
        steps=tuple(steps),
        bound=bound,
        teardown=teardown,
        gates=gates_of(back, [step.operation.name for step in steps]),
        unreachable_fills=back.unreachable_fills,
        holds=tuple(holds),
        yielded=back.yielded,
        earlier=tuple(already),
        skipped=tuple(skipped),
        practice=practice,
    )


@dataclass(frozen=True)
class _Best:
    """An order of work without sealants."""

    order: tuple[str, ...]
    bound: Bound
    practice: GoodPractice | None = None


def _ordered(
    back: WayBack,
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    watch: Watch | None,
    practice: Practice,
    whole: OperationGraph | None,
    gone: Collection[str],
) -> _Best:
    again = set_up_again(back.graph) if practice is Practice.ALL else ()
    graph = back.graph.restricted(set(back.graph.operations).difference(again)) if again else back.graph
    goals = [goal for goal in back.goals if not set(goal.any_of).issubset(again)]
    question = ask(graph, goals, changes, prefer, backwards=True)
    signs = practice is Practice.ALL
    fixed = {goal.any_of for goal in goals}.issuperset((name,) for name in graph.operations)
    turns = shared(limits, among=2 if signs else 1)
    first = next(turns)
    # where there is nothing to choose, the plain order need not be proven for what practice makes of it
    result = put(question, in_passing(first) if signs and fixed else first, watch)
    if result.status is Status.IMPOSSIBLE:
        raise AssertionError("the removal in reverse is always a way back")
    quickest = _in_order_of_work(graph, question.order(result))
    if signs:
        plain = order = quickest[::-1]
        for name in again:
            order = inserted(order, name, back.graph.needs[name])
        signed = practised(
            back.graph,
            order,
            changes,
            prefer,
            next(turns),
            watch,
            plain=PlainOrder(plain, result.proven),
            back=True,
            whole=whole,
            gone=gone,
        )
        return _Best(signed.order[::-1], signed.bound, signed.practice)
    totals = Totals.of(replay(back.graph, quickest, changes))
    count = question.scale.split(result.bound)[0]
    return _Best(quickest, Bound(bound_in_seconds(question, result, totals), count, result.proven))


def _still_kept(
    best: _Best, order: Sequence[str], graph: OperationGraph, changes: Changes, steps: Sequence[Step]
) -> GoodPractice | None:
    """What good practice comes to once the beads are in, and joints moved up for their sake.

    ``order`` and ``graph`` are without the beads, ``steps`` with them.
    """
    practice = best.practice
    if practice is None:
        return practice
    held = [
        kept and not (rule.name is RuleName.SEALED and too_long(graph.machine, steps, rule))
        for rule, kept in zip(practice.kept, kept_by(practice.kept, order[::-1]), strict=True)
    ]
    if all(held):
        return practice
    gone = (rule for rule, is_kept in zip(practice.kept, held, strict=True) if not is_kept)
    more = (Dropped(rule.name, rule.subject, rule.at, Why.SEALANT) for rule in gone)
    now, before = (Totals.of(replay(graph, o, changes)).seconds for o in (order, best.order))
    return GoodPractice(
        None if practice.added is None else practice.added.more(now - before),
        tuple(rule for rule, is_kept in zip(practice.kept, held, strict=True) if is_kept),
        (*practice.dropped, *more),
    )


def _in_order_of_work(graph: OperationGraph, backwards: Sequence[str]) -> tuple[str, ...]:
    """The engine's order turned round; within a set-up, down the file in the order of work."""
    rank = {name: -number for number, name in enumerate(graph.operations)}
    return tuple(reversed(tidied(graph, backwards, rank)))


def gates_of(back: WayBack, order: Sequence[str]) -> tuple[Gate, ...]:
    """Each gate with the step that closes it off: the one that brings back the last way of reaching it."""
    number = {name: position for position, name in enumerate(order, start=1)}
    gates = []
    for name in order:
        joint = back.gates.get(name)
        if joint is None:
            continue
        closers = [
            max(closing)
            for clause in back.graph.needs[name]
            if (clause.reason.bars_the_way or kept_by_a_part(back.graph, clause))
            and (closing := [number[other] for other in clause.any_of if other in number])
        ]
        earlier = [
            number[rule.after] for rule in back.graph.orders if rule.before == name and rule.after in number
        ]
        gates.append(
            Gate(
                number[name],
                joint.path,
                max(earlier, default=0) + 1,
                min(closers, default=None),
                back.waits.get(name, ()),
                joint.judgement.remark,
            )
        )
    return tuple(gates)
