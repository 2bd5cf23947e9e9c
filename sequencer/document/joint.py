"""One joint of a machine file: torque, order, passes, wrench, and what its fastener makes of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sequencer.document.toolbox import wrench_json, wrench_words
from sequencer.document.torques import stages_words, torque_json, torque_words
from sequencer.document.words import fastening, joint_words
from sequencer.machine.model import Joint, Machine
from sequencer.plan.toolbox import GateWrenches
from sequencer.torque.report import judgement_as_dict, judgement_lines


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


def joint_json(joint: Joint, unit: str | None = None, wrenches: GateWrenches | None = None) -> dict[str, Any]:
    """The joint as plain data: every torque with its unit."""
    return {
        "joint": joint.path,
        "count": joint.count,
        "thread": joint.thread,
        "class": joint.property_class,
        **torque_json(joint),
        "shown": stages_words(joint, unit),
        "judgement": judgement_as_dict(joint.judgement),
        **({"wrench": wrench_json(wrenches)} if wrenches else {}),
    }
