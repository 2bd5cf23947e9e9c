"""Joints between their fastening and their torque: where they are snug, and why their place is left so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.document.steps.practice import not_kept_words
from sequencer.document.steps.torques import set_words
from sequencer.graph.operations import Kind
from sequencer.graph.said import part_words, sentence
from sequencer.graph.torque_waits import awaited
from sequencer.plan.plan import Gate, Refit, Step
from sequencer.plan.practice.rules import RuleName
from sequencer.wording import listing


def snug_step(plan: Refit, gate: Gate) -> int | None:
    """The step from which on the joint of a gate is snug; None where it was before these steps."""
    before = _from_snug(plan, gate)
    return before[0].number if before else None


def left_snug(plan: Refit, gate: Gate) -> str | None:
    """Why its place is left between snug and torque; None where nobody leaves it."""
    snug, *between = _from_snug(plan, gate) or (None,)
    if snug is None or all(step.operation.position == snug.operation.position for step in between):
        return None
    return "; ".join(dict.fromkeys(_reasons(plan, gate, between))) or "other work comes before it"


def _from_snug(plan: Refit, gate: Gate) -> tuple[Step, ...]:
    """The steps from the one that fastens its joint to its torque, that left out."""
    fastened = {kind.of(gate.joint) for kind in (Kind.FASTEN, Kind.TIGHTEN)}
    end = next(place for place, step in enumerate(plan.steps) if step.number == gate.step)
    begin = max((n for n in range(end) if plan.steps[n].operation.name in fastened), default=end)
    return plan.steps[begin:end]


def _reasons(plan: Refit, gate: Gate, between: Sequence[Step]) -> Iterator[str]:
    steps = {step.operation.name: step for step in plan.steps}
    joint = plan.machine.joint_at(gate.joint)
    if gate.waits_for:
        yield f"it waits for {listing(part_words(plan.machine, one) for one in gate.waits_for)}"
    later = [steps[name] for name in awaited(plan.machine, joint, steps)]
    if not gate.waits_for:
        later += [step for step in between if step.number == gate.first_step]
    for step in later:
        yield f"it waits for step {step.number}: {sentence(plan.machine, step.operation)}"
    yield from set_words(plan, joint)
    for dropped in plan.practice.dropped if plan.practice else ():
        if dropped.name is RuleName.SNUG and dropped.subject == gate.joint:
            yield not_kept_words(plan, dropped)
