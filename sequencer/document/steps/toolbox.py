"""A job held against a toolbox, in words: what is missing, and which wrench serves what."""

from __future__ import annotations

from itertools import groupby

from sequencer.document.steps.torques import override_words
from sequencer.document.words import tool_words
from sequencer.graph.said import path_words
from sequencer.machine.model import Machine
from sequencer.plan.closing.toolbox import Equipment, GateWrenches, StageWrench
from sequencer.plan.plan import Plan, Teardown
from sequencer.wording import listing

OVERDUE = "due for calibration"


def toolbox_rows(plan: Plan, kit: Equipment) -> dict[str, str]:
    """Rows for a lead-in: missing tools, joints that no wrench serves, what to know of the wrenches."""
    lacking = [tool_words(plan.machine, tool) for tool in kit.missing]
    rows = {"Missing": listing(lacking) or "nothing that this job needs"}
    told = []
    if kit.unserved:
        way_back = " on the way back" if isinstance(plan, Teardown) else ""
        names = (_joint(plan.machine, gate) for gate in kit.unserved)
        told.append(f"no owned torque wrench serves{way_back}: {listing(names)}")
    if told := [*told, *kit.cautions]:
        rows["Wrench"] = "; ".join(told)
    return rows


def _joint(machine: Machine, gate: GateWrenches) -> str:
    torques = listing(stage.stage for stage in gate.stages if stage.setting is None)
    if override := override_words(machine.joint_at(gate.joint)):
        torques += f", {override}"
    return f"{path_words(machine, gate.joint)} ({torques})"


def wrench_words(gate: GateWrenches, machine: Machine) -> str:
    """Which wrench serves a gate and what to set it to, and what none serves; empty without a torque."""
    words = [_set_to(stages) for stages in _by_wrench(gate)]
    if gate.drives:
        tool = tool_words(machine, machine.joint_at(gate.joint).tool)
        words.append(f"{tool} only in {' and '.join(gate.drives)} drive: a drive adapter goes between")
    unserved = [stage for stage in gate.stages if stage.setting is None]
    for message, stages in groupby(unserved, key=lambda stage: stage.message):
        words.append(f"no owned wrench serves {listing(stage.stage for stage in stages)}: {message}")
    return "; ".join(words)


def _by_wrench(gate: GateWrenches) -> list[list[StageWrench]]:
    """The stages that a wrench serves, those in a row on the same one together."""
    served = (stage for stage in gate.stages if stage.setting is not None)
    return [list(run) for _, run in groupby(served, key=lambda stage: stage.setting and stage.setting.wrench)]


def _set_to(stages: list[StageWrench]) -> str:
    settings = [stage.setting for stage in stages if stage.setting is not None]
    marks = ", then ".join(setting.scale_text for setting in settings)
    due = f" ({OVERDUE})" if any(stage.overdue for stage in stages) else ""
    return f"wrench: {settings[0].wrench.name}{due}, set to {marks}"
