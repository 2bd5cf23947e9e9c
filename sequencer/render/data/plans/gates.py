"""The torque gates of a reassembly, and what it costs to miss one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.document.steps.left_snug import left_snug, snug_step
from sequencer.document.steps.torques import stages_words
from sequencer.machine.model import Joint
from sequencer.plan.closing.toolbox import Equipment
from sequencer.plan.onward.missed import Missed
from sequencer.plan.plan import Gate, Refit
from sequencer.render.data.plain import FLAT, Record
from sequencer.render.data.torques.torque import (
    ToolboxData,
    TorqueData,
    WrenchData,
    toolbox_data,
    torque_data,
    wrench_data,
)


class GateData(Record):
    """A joint that gets its torque at a step of its own, while it can still be reached."""

    step: Annotated[int, "The step at which it gets its torque."]
    joint: Annotated[str, "`part/joint`"]
    snug_step: Annotated[int | None, "The step from which on it is snug; null where it was before."]
    left_snug: Annotated[str | None, "Why its place is left in between; null where nobody leaves it."]
    first_step: Annotated[int, "The step from which on it can be closed."]
    last_step: Annotated[int | None, "The step that closes it off; null where it stays in reach."]
    waits_for: Annotated[Sequence[str], "Parts that must be back before it."]
    torque: Annotated[TorqueData | None, FLAT] = None
    remark: Annotated[str, "What the strength guard says; empty where that is usual or can't be judged."]
    wrench: WrenchData | None = None


class ShownGateData(Record):
    """A gate of a way back."""

    gate: Annotated[GateData, FLAT]
    shown: Annotated[str, "The torque in the unit that was asked for."]


class MissedGateData(Record):
    """A gate, and the price of forgetting it."""

    gate: Annotated[GateData, FLAT]
    torque: Annotated[str, "In the unit that was asked for."]
    missed_seconds: Annotated[Fraction, "The way in, the torque, and the way back."]
    missed_proven: Annotated[bool, "No quicker way of mending it exists."]
    moves_again: Annotated[Sequence[str], "What has to move again, in the order in which it comes off."]


class GatesData(Record):
    """The gates of a reassembly in closing order."""

    machine: str
    targets: Sequence[str]
    gates: Sequence[MissedGateData]
    toolbox: ToolboxData | None = None


def gate_data(plan: Refit, gate: Gate, kit: Equipment | None) -> GateData:
    """A gate with its torque, and its wrench where a toolbox is given."""
    joint = joint_of(plan, gate)
    wrench = kit and wrench_data(kit.wrenches[joint.path])
    left = {"snug_step": snug_step(plan, gate), "left_snug": left_snug(plan, gate)}
    return GateData.of(gate, torque=torque_data(joint), wrench=wrench, **left)


def joint_of(plan: Refit, gate: Gate) -> Joint:
    """The joint of a gate."""
    return plan.machine.joint_at(gate.joint)


def gates_json(
    plan: Refit, missed: Iterable[Missed], unit: str | None = None, kit: Equipment | None = None
) -> dict[str, Any]:
    """The gates with their prices as plain data."""
    gates = [
        MissedGateData(
            gate=gate_data(plan, one.gate, kit),
            torque=stages_words(joint_of(plan, one.gate), unit),
            missed_seconds=one.seconds,
            missed_proven=one.proven,
            moves_again=one.parts,
        )
        for one in missed
    ]
    return GatesData(
        machine=plan.machine.name,
        targets=[str(target) for target in plan.targets],
        gates=gates,
        toolbox=toolbox_data(plan, kit),
    ).plain()
