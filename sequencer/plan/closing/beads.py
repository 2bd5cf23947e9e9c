"""From the bead to the torque: how long it takes, and whether that is well within the working time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from sequencer.graph.operations import Kind
from sequencer.machine.model import Machine, Subject
from sequencer.plan.plan import Gate, Hold, Refit, Step
from sequencer.plan.practice.rules import Rule
from sequencer.torque.sealant import sealant_of

WELL_WITHIN = Fraction(2, 5)
"""The share of the working time that the work may take, so that nobody has to hurry (the format page)."""


def too_long(machine: Machine, steps: Sequence[Step], rule: Rule) -> bool:
    """Whether the work from the bead of a rule to its end takes more than its share of the working time."""
    sealing = machine.sealing(rule.subject)
    assert sealing is not None
    sealant = sealant_of(sealing.kind, sealing.assemble_within, sealing.cure)
    place = {step.operation.name: number for number, step in enumerate(steps)}
    ends = [place[name] for condition in rule.whiles for name in condition.after if name in place]
    if not ends:  # it is about what comes after the cure
        return False
    joint = machine.own_joint(rule.subject)  # its fasteners are coated and driven one after the other
    seconds = _seconds(steps[place[rule.at] : max(ends) + 1])
    return seconds / (joint.count if joint else 1) > sealant.assemble_within * WELL_WITHIN


def late_torques(plan: Refit, hold: Hold) -> Iterator[tuple[Gate, Fraction]]:
    """The gates of what was sealed that other work comes before, and how long after the bead they close."""
    for gate, between in _gates(plan, hold):
        if _has_other_work(between, hold):
            yield gate, _seconds(between)


def torques_at_once(plan: Refit, hold: Hold) -> tuple[int, ...]:
    """The steps of the gates of what was sealed that nothing but work on its part comes before."""
    return tuple(gate.step for gate, between in _gates(plan, hold) if not _has_other_work(between, hold))


def _gates(plan: Refit, hold: Hold) -> Iterator[tuple[Gate, Sequence[Step]]]:
    """The gates of what is sealed in this plan, each with the steps from the bead to it."""
    place = {step.number: number for number, step in enumerate(plan.steps)}
    start = place.get(hold.seal_step)
    for gate in plan.gates if start is not None else ():
        if hold.sealed in (gate.joint, Subject(gate.joint).part):
            yield gate, plan.steps[start : place[gate.step] + 1]


def _has_other_work(steps: Sequence[Step], hold: Hold) -> bool:
    part = Subject(hold.sealed).part
    return any(step.operation.part != part and step.operation.kind is not Kind.TASK for step in steps)


def _seconds(steps: Sequence[Step]) -> Fraction:
    """From the beginning of the first to the end of the last."""
    return sum((s.seconds + s.change_seconds * (n > 0) for n, s in enumerate(steps)), Fraction(0))
