"""What a forgotten gate costs: everything that has to come off again to reach it, and go back.

The forgotten torque is noticed when all is back together. Then the joint has to be reached once more, and
tightened, and what came off put back: a job of its own, solved like any other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.graph.operations import REACHES
from sequencer.graph.reverse import TORQUE_SECONDS_EACH
from sequencer.graph.targets import Target
from sequencer.plan.plan import Gate, Refit
from sequencer.plan.prefer import Prefer
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown


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
    known: dict[str, Missed] = {}
    last = len(refit.steps) + 1
    for gate in sorted(refit.gates, key=lambda gate: (gate.last_step or last, gate.step)):
        if gate.joint not in known:
            known[gate.joint] = missed(refit, gate, limits)
        yield known[gate.joint]


def missed(refit: Refit, gate: Gate, limits: Limits) -> Missed:
    """Price one gate: reach the joint in the finished machine, tighten it, put everything back."""
    part, _, name = gate.joint.partition("/")
    target = Target(part, None, name)
    joint = refit.machine.joint(part, name)
    assert joint.torque is not None
    way_in = plan_teardown(refit.machine, (target,), Prefer.TIME, limits)
    way_out = plan_refit(way_in, Prefer.TIME, limits)
    tightening = TORQUE_SECONDS_EACH * joint.count * len(joint.torque.stages)
    moved = dict.fromkeys(op.part for op in way_in.operations if op.kind in REACHES and op.part)
    return Missed(
        gate,
        way_in.totals.seconds + tightening + way_out.totals.seconds,
        tuple(moved),
        way_in.proven and way_out.proven,
    )
