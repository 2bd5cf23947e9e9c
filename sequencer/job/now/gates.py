"""Torque gates at the desk: closed by a reading that holds, or by a reason that stays to be seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, Op, Reason
from sequencer.job.now.marks import lacking, marks
from sequencer.job.now.moment import Moment
from sequencer.machine.model import PLUG, Joint, Machine, Subject
from sequencer.plan.closing.readings import judge


def gate_joint(moment: Moment, op: str) -> Joint | None:
    """The joint that the step ``op`` gives its torque; None for any other step."""
    step, machine = Op(op), moment.machine
    if step.kind is Kind.CLOSE and step.subject in machine.fluids:
        plug = machine.fluids[step.subject].plug
        return plug if plug and plug.torque else None
    return machine.own_joint(step.subject) if step.kind is Kind.TORQUE else None


def gate_of(machine: Machine, path: str) -> str:
    """The step at which the joint ``path`` gets its torque, by its name."""
    where = Subject(path)
    if where.joint == PLUG and where.part in machine.fluids and machine.fluids[where.part].plug:
        return Kind.CLOSE.of(where.part)
    return Kind.TORQUE.of(path)


def the_gate(moment: Moment, ops: Sequence[str]) -> str | None:
    """The one gate among steps, at which a reading is meant; None when there is none, or several."""
    gates = [op for op in ops if gate_joint(moment, op)]
    return gates[0] if len(gates) == 1 else None


def gate_faults(moment: Moment, ops: Sequence[str], *, read: bool) -> dict[str, str]:
    """The gates among ``ops`` that can't be ticked as they are, and why; ``read``: one has a reading.

    Raises:
        SequencerError: One reading for several joints.
    """
    gates = [(op, joint) for op in ops if (joint := gate_joint(moment, op))]
    if len(gates) > 1 and read:
        raise SequencerError(
            "one reading is for one joint, and these steps are several gates",
            f"one at a time: done {moment.state.number(gates[0][0])} --torque …",
            code="one-reading",
        )
    said = marks(moment.state)
    return {
        op: "nobody has said its torque" if is_open(joint) else judge(joint, None).problem or ""
        for op, joint in gates
        if lacking(joint, said.get(joint.path, ()))
    }


def is_open(joint: Joint | None) -> bool:
    """Whether the figure of a joint is open: its gate asks for one."""
    return joint is not None and joint.torque is not None and joint.torque.open


def back_faults(moment: Moment, ops: Sequence[str]) -> list[tuple[str, tuple[Reason, ...]]]:
    """The steps of the way back that can't be done now, one after the other, and why each can't.

    Raises:
        SequencerError: Nothing asks for one of them.
    """
    faults: list[tuple[str, tuple[Reason, ...]]] = []
    present = moment.present
    for op in ops:
        if op not in moment.home.back.graph.operations:
            raise SequencerError(
                f"nothing was undone that {op!r} would put back", "see next for the steps", code="no-step"
            )
        if reasons := moment.why_not(op, present):
            faults.append((op, reasons))
        present = replace(present, back=(*present.back, op))
    return faults
