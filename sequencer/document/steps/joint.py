"""One joint of a machine file: torque, order, passes, wrench, and what its fastener makes of it."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.document.steps.toolbox import wrench_words
from sequencer.document.steps.torques import torque_words
from sequencer.document.words import fastening
from sequencer.graph.said import joint_words
from sequencer.machine.model import Joint, Machine
from sequencer.plan.closing.toolbox import GateWrenches
from sequencer.torque.guard.report import judgement_lines


def joint_lines(
    machine: Machine, joint: Joint, unit: str | None = None, wrenches: GateWrenches | None = None
) -> Iterator[str]:
    """The joint in lines of text; without a torque what is known of its fastener."""
    details = fastening(joint)
    yield joint_words(machine, joint.part, joint.name) + (f"  ({details})" if details else "")
    yield from torque_words(joint, unit) or ["no torque in the file"]
    if wrenches is not None and (words := wrench_words(wrenches, machine)):
        yield words
    yield from judgement_lines(joint.judgement)
