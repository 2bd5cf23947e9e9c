"""Torque gates at the desk: closed by a reading that holds, or by a reason that stays to be seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.moment import Moment
from sequencer.machine.model import Joint
from sequencer.plan.readings import Reading, asked_of, judge

_GATE = f"{Kind.TORQUE.value} "


def gate_joint(moment: Moment, op: str) -> Joint | None:
    """The joint that the step ``op`` gives its torque; None for any other step."""
    if not op.startswith(_GATE):
        return None
    part, _, name = op.removeprefix(_GATE).partition("/")
    own = moment.machine.parts.get(part)
    return own.joints.get(name) if own else None


def the_gate(moment: Moment, ops: Sequence[str]) -> str | None:
    """The one gate among steps, at which a reading is meant; None when there is none, or several."""
    gates = [op for op in ops if gate_joint(moment, op)]
    return gates[0] if len(gates) == 1 else None


def gate_faults(moment: Moment, ops: Sequence[str], readings: Mapping[str, str | None]) -> list[str]:
    """Why the gates among ``ops`` can't be closed with these readings; empty when they are.

    Raises:
        SequencerError: A reading that is no torque or no angle, or one reading for several joints.
    """
    gates = [(op, joint) for op in ops if (joint := gate_joint(moment, op))]
    torque, angle = readings.get("torque"), readings.get("angle")
    if len(gates) > 1 and (torque or angle):
        raise SequencerError(
            "one reading is for one joint, and these steps are several gates",
            f"one at a time: done {moment.state.number(gates[0][0])} --torque …",
            code="one-reading",
        )
    faults = []
    for op, joint in gates:
        reading = _reading(joint, torque, angle)
        if not reading.closes:
            faults.append(f"{op}: {reading.problem}")
    return faults


def _reading(joint: Joint, torque: str | None, angle: str | None) -> Reading:
    asked = asked_of(joint)
    assert asked is not None
    if asked.torque is None and torque and not angle:
        torque, angle = None, torque  # a joint that is turned by angle alone
    return judge(joint, torque, angle)


def back_faults(moment: Moment, ops: Sequence[str]) -> list[str]:
    """Why these steps of the way back can't be done now, one after the other; empty when they can.

    Raises:
        SequencerError: Nothing asks for one of them.
    """
    faults: list[str] = []
    present = moment.present
    for op in ops:
        if op not in moment.home.back.graph.operations:
            raise SequencerError(
                f"nothing was undone that {op!r} would put back", "see next for the steps", code="no-step"
            )
        reasons = map(str, moment.why_not(op, present))
        faults += [reason if reason.startswith(op) else f"{op}: {reason}" for reason in reasons]
        present = replace(present, back=(*present.back, op))
    return faults
