"""What a forgotten gate costs: everything that has to come off again to reach it, and go back.

The forgotten torque is noticed when all is back together. Then the joint has to be reached once more, and
tightened, and what came off put back: a job of its own, solved like any other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.graph import derive, explain_conflict, narrowed
from sequencer.graph.fastening import TORQUE_DRIVE, torquing
from sequencer.graph.operations import (
    REACHES,
    Because,
    Clause,
    Kind,
    Operation,
    OperationGraph,
    Reason,
    asked_at,
)
from sequencer.graph.targets import Target
from sequencer.machine.model import Joint, Machine
from sequencer.plan.answer import best_order
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Gate, Refit
from sequencer.plan.refit import plan_refit


@dataclass(frozen=True)
class Missed:
    """The price of forgetting one gate.

    Attributes:
        seconds: The way in, the torque, and the way back.
        parts: What has to move again, in the order in which it comes off.
        proven: No quicker way of mending it exists.
    """

    gate: Gate
    seconds: Fraction
    parts: tuple[str, ...]
    proven: bool


def missed_gates(refit: Refit, limits: Limits) -> Iterator[Missed]:
    """Price every gate of a reassembly, in the order in which they close; those that stay in reach come last.

    Args:
        refit: The reassembly.
        limits: For each of the questions put to the engine.
    """
    last = len(refit.steps) + 1
    for gate in sorted(refit.gates, key=lambda gate: (gate.last_step or last, gate.step)):
        yield missed(refit, gate, limits)


def missed(refit: Refit, gate: Gate, limits: Limits) -> Missed:
    """Price one gate: get to the joint in the finished machine, tighten it, put everything back.

    The tightening is an operation of the way in, with its place and its torque wrench, and it waits for what
    work on the joint waits for; the way back begins anew at the start.
    """
    machine = refit.machine
    joint = machine.joint_at(gate.joint)
    graph, tightening = _with_tightening(machine, joint)
    reason = Reason(Because.HELD, f"{gate.joint} has to have its torque", tightening.place)
    narrow, wanted = narrowed(graph, (Clause((tightening.name,), reason),))
    changes = Changes.of(machine, {tightening.tool: TORQUE_DRIVE})
    answer = best_order(narrow, wanted, changes, Prefer.TIME, limits, None)
    if answer is None:
        raise explain_conflict(narrow, wanted)
    before = tuple(step for step in answer.order if step != tightening.name)
    way_in = teardown_of(narrow, (Target(joint.part, None, joint.name),), before, changes, opens=False)
    way_out = plan_refit(way_in, Prefer.TIME, limits)
    moved = dict.fromkeys(op.part for op in way_in.operations if op.kind in REACHES and op.part)
    return Missed(
        gate,
        answer.totals.seconds + way_out.totals.seconds,
        tuple(moved),
        answer.proven and way_out.proven,
    )


def _with_tightening(machine: Machine, joint: Joint) -> tuple[OperationGraph, Operation]:
    """The operations of a machine, and the tightening of one joint that is otherwise left as it is."""
    whole = derive(machine)
    undo = whole.operations.get(Kind.UNDO.of(joint.path))
    undo = undo or whole.operations[Kind.DRAIN.of(joint.part)]
    tightening = torquing(undo, joint)
    there = asked_at(machine, tightening.position)
    waits = tuple(
        c
        for c in whole.needs[undo.name]
        if c.reason.kind is not Because.WET
        and (c.reason.kind is not Because.POSITION or not there.isdisjoint(c.any_of))
    )
    return replace(
        whole,
        operations={**whole.operations, tightening.name: tightening},
        needs={**whole.needs, tightening.name: waits},
    ), tightening
