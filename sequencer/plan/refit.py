"""The way back: the reversed graph solved afresh, with its torque gates."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction

from sequencer.engine.problem import Limits, Status
from sequencer.graph.operations import Because, OperationGraph
from sequencer.graph.reverse import WayBack, way_back
from sequencer.plan.answer import Watch, bound_in_seconds, put
from sequencer.plan.plan import Bound, Gate, Refit, Teardown, Totals
from sequencer.plan.prefer import Prefer
from sequencer.plan.question import ask
from sequencer.plan.replay import replay
from sequencer.plan.sealing import sealed
from sequencer.plan.setups import Changes
from sequencer.plan.tidy import tidied


def plan_refit(
    teardown: Teardown,
    prefer: Prefer = Prefer.TIME,
    limits: Limits = Limits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
) -> Refit:
    """Order the reassembly after ``teardown`` at the least cost, every gate before what closes it off."""
    back = way_back(teardown.graph, (op.name for op in teardown.operations))
    return ordered(teardown, back, Changes.of(teardown.machine, back.drives), prefer, limits, watch)


def ordered(
    teardown: Teardown,
    back: WayBack,
    changes: Changes,
    prefer: Prefer,
    limits: Limits,
    watch: Watch | None = None,
    already: Collection[str] = (),
) -> Refit:
    """Put the operations of ``back`` in the order of work, with sealants and gates.

    ``already`` holds the steps of the reassembly that are done and not in ``back`` any more.
    """
    question = ask(back.graph, back.goals, changes, prefer, backwards=True)
    result = put(question, limits, watch)
    if result.status is Status.IMPOSSIBLE:
        raise AssertionError("the removal in reverse is always a way back")
    quickest = _in_order_of_work(back.graph, question.order(result))
    graph, order, holds = sealed(back.graph, quickest, changes, already)
    sealing = sum((graph.operations[n].seconds for n in order if n not in back.graph.operations), Fraction(0))
    unchanged = tuple(n for n in order if n in back.graph.operations) == quickest
    unsealed = Totals.of(replay(back.graph, quickest, changes))
    bound = bound_in_seconds(question, result, unsealed) + sealing
    return Refit(
        machine=teardown.machine,
        targets=teardown.targets,
        prefer=prefer,
        steps=replay(graph, order, changes),
        bound=Bound(bound, question.scale.split(result.bound)[0], reached=result.proven and unchanged),
        teardown=teardown,
        gates=gates_of(back, order),
        unreachable_fills=back.unreachable_fills,
        holds=holds,
        earlier=tuple(already),
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
            if clause.reason.kind is Because.BEHIND
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
