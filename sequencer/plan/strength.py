"""Torques held against the strength of their fasteners, for every joint of a machine file."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.faults import Fault
from sequencer.machine.model import Joint, Machine
from sequencer.torque.judgement import Judgement


def torque_faults(machine: Machine) -> tuple[Fault, ...]:
    """An error for each torque beyond its fastener's proof, a warning for each that is only odd."""
    return tuple(
        _fault(joint, judgement)
        for joint, judgement in judgements(machine)
        if judgement.is_error or judgement.is_warning
    )


def judgements(machine: Machine) -> Iterator[tuple[Joint, Judgement]]:
    """Every joint that has a torque, with what its fastener makes of it."""
    from sequencer.torque.guard import judge

    for part in machine.parts.values():
        for joint in part.joints.values():
            if joint.torque is not None:
                yield (
                    joint,
                    judge(
                        joint.torque.stages,
                        joint.thread,
                        joint.property_class,
                        override=joint.torque.override,
                    ),
                )


def _fault(joint: Joint, judgement: Judgement) -> Fault:
    assert joint.torque is not None
    return Fault(
        joint.torque.place,
        f"{joint.path}: {judgement.message}",
        judgement.remedy,
        "error" if judgement.is_error else "warning",
    )
