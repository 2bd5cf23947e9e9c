"""The torque gates of a reassembly with their prices, as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from sequencer.document.toolbox import toolbox_json, wrench_json
from sequencer.document.torques import stages_words, torque_json
from sequencer.plan.missed import Missed
from sequencer.plan.plan import Refit

if TYPE_CHECKING:
    from sequencer.plan.toolbox import Equipment


def gates_json(
    plan: Refit, missed: Iterable[Missed], unit: str | None = None, kit: Equipment | None = None
) -> dict[str, Any]:
    """The gates with their prices as plain data, in closing order."""
    gates = []
    for one in missed:
        part, _, name = one.gate.joint.partition("/")
        joint = plan.machine.joint(part, name)
        gates.append(
            {
                "joint": one.gate.joint,
                "step": one.gate.step,
                "first_step": one.gate.first_step,
                "last_step": one.gate.last_step,
                "waits_for": list(one.gate.waits_for),
                **torque_json(joint),
                "remark": one.gate.remark,
                "torque": stages_words(joint, unit),
                **({"wrench": wrench_json(kit.wrenches[joint.path])} if kit else {}),
                "missed_seconds": float(one.seconds),
                "missed_proven": one.proven,
                "moves_again": list(one.parts),
            }
        )
    return {
        "machine": plan.machine.name,
        "targets": [str(t) for t in plan.targets],
        "gates": gates,
        **({"toolbox": toolbox_json(plan, kit)} if kit else {}),
    }
