"""The torque gates of a reassembly by themselves, in closing order, each with the price of forgetting it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from sequencer.plan.missed import Missed
from sequencer.plan.plan import Refit
from sequencer.views.lines import hanging
from sequencer.views.text import INDENT, aims_of
from sequencer.views.toolbox_text import toolbox_json, toolbox_rows, wrench_json, wrench_words
from sequencer.views.torques import gate_words, stages_words, torque_json
from sequencer.views.words import duration, joint_words, listing, part_words, plural

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment


def print_gates(
    plan: Refit,
    missed: Iterable[Missed],
    console: Console,
    unit: str | None = None,
    kit: Equipment | None = None,
) -> None:
    """Print each gate as it is priced: when it is due, torque and wrench, what forgetting it would cost."""
    hanging(console, plan.machine.name, style="bold")
    hanging(console, f"{aims_of(plan)}: the torque gates of the way back", style="bold")
    if not plan.gates:
        hanging(console, "No joint of this job has a torque in the file.")
        return
    count = plural(len(plan.gates), "gate")
    hanging(
        console,
        f"{count} in the order in which they close. The price is for finding one forgotten when all is back "
        "together: getting there, tightening it, and putting back.",
    )
    if kit is not None:
        console.print()
        for word, text in toolbox_rows(plan, kit).items():
            hanging(console, text, lead=f"{word:<9}")
    for one in missed:
        console.print()
        _print_gate(plan, one, console, unit, kit)


def _print_gate(plan: Refit, one: Missed, console: Console, unit: str | None, kit: Equipment | None) -> None:
    gate = one.gate
    part, _, name = gate.joint.partition("/")
    when = f"step {gate.step}"
    if gate.last_step is None:
        when += ", stays within reach"
    else:
        when += f", possible from step {gate.first_step}, closed off by step {gate.last_step}"
    hanging(console, f"{joint_words(plan.machine, part, name)}: {when}", style="bold")
    for line in gate_words(plan.machine, gate, unit):
        hanging(console, line, lead=INDENT)
    if kit is not None and (wrench := wrench_words(kit.wrenches[gate.joint], plan.machine)):
        hanging(console, wrench, lead=INDENT)
    if gate.waits_for:
        back = listing(part_words(plan.machine, other) for other in gate.waits_for)
        hanging(console, f"waits for {back}", lead=INDENT)
    about = "" if one.proven else "at most "
    words = f"missed: {about}{duration(one.seconds)}"
    if one.parts:
        words += f", with {listing((part_words(plan.machine, p) for p in one.parts), 6)} moving again"
    hanging(console, words, lead=INDENT)


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
