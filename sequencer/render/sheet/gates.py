"""A gate on paper: a box and initials for each reading, with the order of the fasteners as a picture."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from math import dist
from typing import Any

from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.steps.cards import gate_lines
from sequencer.document.steps.torques import stage_words, stages_words
from sequencer.graph.said import path_words
from sequencer.machine.model import Joint
from sequencer.plan.closing.readings import fasteners_of
from sequencer.plan.closing.tightening import order_of
from sequencer.plan.closing.toolbox import StageWrench
from sequencer.plan.plan import Gate, Plan, Refit
from sequencer.quantities import Stage, TorqueQuantity
from sequencer.torque.tightening.bolt_order import BoltOrder


def common_figure(plan: Plan) -> str | None:
    """Where most of the torques come from, where more than one say so: said once instead of at every gate."""
    if not isinstance(plan, Refit):
        return None
    torques = (plan.machine.joint_at(gate.joint).torque for gate in plan.gates)
    told = Counter(torque.source for torque in torques if torque and torque.source)
    source, times = next(iter(told.most_common(1)), ("", 0))
    return source if times > 1 else None


def gate_data(job: PaperJob, plan: Refit, gate: Gate) -> dict[str, Any]:
    """The gate as the template reads it."""
    joint = plan.machine.joint_at(gate.joint)
    # The bar before the closing step says the one; the head of the way back says the other.
    torque, *lines = map(
        clean,
        gate_lines(plan, gate, job.unit, job.kit_back, source_said=common_figure(plan), closing_said=True),
    )
    if len(_stages(joint)) == 1:
        torque = clean(stages_words(joint, job.unit))  # a box for each says the rest
    read = job.written.get(gate.joint, {})
    wrenches = dict.fromkeys(one.wrench for one in read.values() if one.wrench)
    suggested = dict.fromkeys(one.setting.wrench.name for one in _wrenches(job, gate) if one.setting)
    return {
        "torque": torque,
        "lines": lines,
        "heads": _heads(joint),
        "rows": _rows(job, joint, gate),
        "wrench": ", ".join(wrenches or suggested),
        "time": max(one.time for one in read.values()).astimezone().strftime("%d %b %H:%M") if read else "",
        "said": list(job.said.get(gate.joint, ())),
        "picture": order_data(order_of(joint)),
    }


def _stages(joint: Joint) -> tuple[Stage, ...]:
    return joint.torque.stages if joint.torque is not None else ()


def closing_data(job: PaperJob, plan: Refit, gate: Gate) -> dict[str, Any]:
    """What has to be torqued before the step that closes it off, and whether it is."""
    operation = next(step.operation.name for step in plan.steps if step.number == gate.step)
    says = f"{path_words(plan.machine, gate.joint)} (step {gate.step})"
    return {"says": says, "done": job.tick(plan, operation) == "done"}


def _heads(joint: Joint) -> list[str]:
    """The fasteners' numbers, in the order in which they are pulled; nothing where none has one."""
    order = order_of(joint)
    numbered = order is not None and order.numbered and joint.count > 1
    return [clean(name) for name in _in_order(joint)] if numbered else []


def _in_order(joint: Joint) -> tuple[str, ...]:
    order = order_of(joint)
    return order.tighten if order is not None and order.numbered else fasteners_of(joint)


def _rows(job: PaperJob, joint: Joint, gate: Gate) -> list[dict[str, Any]]:
    """A row for each stage: what it should be, and a box for each fastener."""
    served = {one.stage: one for one in _wrenches(job, gate)}
    read = job.written.get(gate.joint, {})
    rows = []
    for number, stage in enumerate(_stages(joint), start=1):
        says, unit = _asked(stage, job.unit, served.get(stage.text))
        cells = (read.get((number, name)) for name in _in_order(joint))
        boxes = [{"text": clean(one.beside(unit)), "by": one.initials} if one else {} for one in cells]
        rows.append({"says": clean(says), "unit": unit, "boxes": boxes})
    open_figure = {"says": "torque, and where it is from", "unit": job.unit or "N.m", "boxes": [{}]}
    return rows or [open_figure]


def _asked(stage: Stage, unit: str | None, served: StageWrench | None) -> tuple[str, str]:
    """What a stage asks for, and the unit of its reading: that of the person's own wrench if one serves."""
    if not isinstance(stage, TorqueQuantity):
        return stage_words(stage), ""
    if served is not None and served.setting is not None:
        setting = served.setting
        asked = "" if setting.scale_text == stage.text else f" for {stage_words(stage)}"
        return f"set to {setting.scale_text}{asked}", setting.wrench.unit
    return stage_words(stage, unit), unit or stage.unit


def _wrenches(job: PaperJob, gate: Gate) -> tuple[StageWrench, ...]:
    known = job.kit_back.wrenches.get(gate.joint) if job.kit_back is not None else None
    return known.stages if known is not None else ()


def order_data(order: BoltOrder | None) -> dict[str, Any] | None:
    """The order of a joint's fasteners: places as shares of the longer side, and what to write there."""
    if order is None or not order.pictured or len(order.at) < 2:
        return None
    xs, ys = [x for x, _ in order.at], [y for _, y in order.at]
    width, height = max(xs) - min(xs), max(ys) - min(ys)
    size = max(width, height) or 1.0
    rank = {label: number for number, label in enumerate(order.tighten, start=1)}
    return {
        "near": min(dist(a, b) for a, b in combinations(order.at, 2)) / size,
        "across": width / size,
        "down": height / size,
        "bolts": [
            {
                "x": (x - min(xs)) / size,
                "y": (max(ys) - y) / size,
                "rank": rank[label],
                "label": "" if str(rank[label]) == str(label) else clean(str(label)),
            }
            for label, (x, y) in zip(order.labels, order.at, strict=True)
        ],
    }
