"""Plans as JSON: what the format page fixes, and what the other views need beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Any

from sequencer import __version__
from sequencer.document.notes import notes, seconds_from
from sequencer.document.toolbox import toolbox_json, wrench_json
from sequencer.document.torques import order_json, stages_words, torque_json
from sequencer.document.words import name_of, sentence, tool_words
from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Joint, Machine
from sequencer.plan.cautions import Caution, cautions, notice
from sequencer.plan.plan import Plan, Refit, Step, Teardown, Totals
from sequencer.plan.prefer import Prefer
from sequencer.plan.supplies import renewals
from sequencer.plan.tightening import computed_ranges, loosening
from sequencer.plan.toolbox import Equipment
from sequencer.torque.preload import SuggestedRange
from sequencer.torque.show import show_torque

VERSION = 1
"""Raised when the meaning of a key changes."""


def teardown_json(plan: Teardown, kit: Equipment | None = None) -> dict[str, Any]:
    """A teardown as plain data; with ``kit`` also what the toolbox lacks."""
    ordered = loosening(plan)
    steps = []
    for step, data in _steps(plan):
        steps.append({**data, "opens": list(step.opens)})
        if step.number in ordered:
            order = ordered[step.number]
            steps[-1]["loosening"] = order_json(order, loosening=True)
    return {
        **_head(plan, "teardown", steps, kit),
        "top_to_bottom": _totals(plan.top_to_bottom),
    }


def refit_json(plan: Refit, unit: str | None = None, kit: Equipment | None = None) -> dict[str, Any]:
    """A reassembly as plain data; torques also in ``unit``, and with the wrenches of ``kit``, where given."""
    computed = computed_ranges(plan)
    steps = []
    for step, data in _steps(plan):
        steps.append({**data, "closes_off": [gate.joint for gate in plan.closing_off(step.number)]})
        if (suggested := computed.get(step.number)) is not None:
            steps[-1]["computed_range"] = _computed(suggested)
    gates = []
    for gate in plan.gates:
        part, _, name = gate.joint.partition("/")
        joint = plan.machine.joint(part, name)
        gates.append(
            {
                "step": gate.step,
                "joint": gate.joint,
                "first_step": gate.first_step,
                "last_step": gate.last_step,
                "waits_for": list(gate.waits_for),
                **torque_json(joint),
                "remark": gate.remark,
                "shown": stages_words(joint, unit),
                **({"wrench": wrench_json(kit.wrenches[joint.path])} if kit else {}),
            }
        )
    holds = [
        {
            "sealed": hold.sealed,
            "label": hold.label,
            "after_step": hold.after_step,
            "before_step": hold.before_step,
            "seconds": _number(hold.seconds),
            "seconds_from": hold.source,
        }
        for hold in plan.holds
    ]
    shut = [{"fluid": fluid, "reason": str(reason)} for fluid, reason in plan.unreachable_fills]
    return {
        **_head(plan, "refit", steps, kit), "gates": gates, "holds": holds, "unreachable_fills": shut,
    }  # fmt: skip


def _computed(suggested: SuggestedRange) -> dict[str, str]:
    return {
        "low": show_torque(suggested.low_nm),
        "high": show_torque(suggested.high_nm),
        "mark": suggested.mark,
    }


def _head(plan: Plan, kind: str, steps: list[dict[str, Any]], kit: Equipment | None) -> dict[str, Any]:
    machine = plan.machine
    return {
        "version": VERSION,
        "made_by": f"sequencer {__version__}",
        "kind": kind,
        "machine": machine.name,
        "file": machine.file,
        "targets": [str(target) for target in plan.targets],
        "prefer": plan.prefer.value,
        "notice": notice(),
        "steps": steps,
        "stations": [
            {
                "number": station.number,
                "position": station.position,
                "tool": station.tool,
                "steps": [step.number for step in station.steps],
                "seconds": _number(station.seconds),
            }
            for station in plan.stations
        ],
        "totals": _totals(plan.totals),
        "bound_seconds": _number(plan.bound_seconds),
        "bound_count": plan.bound_count if plan.prefer is not Prefer.TIME else None,
        "proven": plan.proven,
        "positions": {p.name: p.label for p in machine.positions.values()},
        "tools": {
            tool: tool_words(machine, tool) for tool in dict.fromkeys(op.tool for op in plan.operations)
        },
        "fluids": {
            op.subject: {"label": name_of(op.subject, fluid.label), "volume": fluid.volume_text}
            for op in plan.operations
            if op.kind in (Kind.DRAIN, Kind.FILL) and (fluid := machine.fluids[op.subject])
        },
        "renew": [
            {
                "part": part,
                "item": renewal.item,
                "count": renewal.count,
                "price": None if renewal.price is None else _number(renewal.price),
            }
            for part, renewal in renewals(plan)
        ],
        **({"toolbox": toolbox_json(plan, kit)} if kit else {}),
    }


def _steps(plan: Plan) -> Iterator[tuple[Step, dict[str, Any]]]:
    at, said = cautions(plan.machine, plan.steps), notes(plan)
    for step in plan.steps:
        yield step, _step(plan, step, at.get(step.number, ()), said.get(step.number, ()))


def _step(plan: Plan, step: Step, warned: Iterable[Caution], said: Iterable[str]) -> dict[str, Any]:
    operation = step.operation
    return {
        "number": step.number,
        "op": operation.name,
        "position": operation.position,
        "tool": operation.tool,
        "seconds": _number(step.seconds),
        "seconds_from": seconds_from(plan.machine, operation),
        "change_seconds": _number(step.change_seconds),
        "says": sentence(plan.machine, operation),
        "kind": operation.kind.value,
        "part": operation.part,
        "joint": operation.joint,
        **_fasteners(plan.machine, operation),
        "cautions": [{"text": caution.text, "source": caution.source} for caution in warned],
        "notes": list(said),
        "place": {"file": operation.place.file, "line": operation.place.line},
    }


def _fasteners(machine: Machine, operation: Operation) -> dict[str, Any]:
    if operation.part is None or operation.joint is None:
        return {}
    joint: Joint = machine.joint(operation.part, operation.joint)
    facts: dict[str, Any] = {
        "fastener": joint.kind,
        "count": joint.count,
        "head": joint.head,
        "thread": joint.thread,
    }
    if operation.kind is Kind.TORQUE and joint.torque is not None:
        facts["torque"] = torque_json(joint)
    return facts


def _totals(totals: Totals) -> dict[str, Any]:
    return {
        "seconds": _number(totals.seconds),
        "tool_changes": totals.tool_changes,
        "reach_arounds": totals.reach_arounds,
    }


def _number(value: Fraction) -> int | float:
    """Whole numbers stay whole; the rest is as near as a float comes."""
    return int(value) if value.denominator == 1 else float(value)
