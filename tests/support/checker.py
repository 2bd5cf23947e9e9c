"""Replays a plan with nothing but the machine file's meaning, and says everything that is wrong with it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.support.plain_machine import Clause, Machine, Target, Tool, goal, load_machine
from tests.support.plain_rules import (
    cracks_called,
    following_from,
    joined,
    orderings,
    put_away,
    put_down,
    steps_of,
)

TOLERANCE = 1e-6


def check_plan(source: Machine | Path | str, targets: list[Target], plan: dict[str, Any]) -> list[str]:
    """All faults of a plan; an empty list for a good one."""
    machine = source if isinstance(source, Machine) else load_machine(source)
    names = [step["op"] for step in plan["steps"]]
    faults = [f"{name}: no such operation" for name in names if name not in machine.operations]
    faults += [f"{name}: done more than once" for name in sorted(set(names)) if names.count(name) > 1]
    if faults:
        return faults
    asked = goal(machine, targets)
    signed = "practice_seconds" in plan["totals"]
    faults = order_faults(machine, names, asked, signed=signed)
    faults += _step_faults(machine, plan)
    faults += _tool_faults(machine, plan)
    faults += _total_faults(machine, plan)
    return faults + superfluous(machine, names, asked, signed=signed)


def order_faults(
    machine: Machine, names: Sequence[str], asked: Sequence[Clause], *, signed: bool = False
) -> list[str]:
    """What is wrong with doing these operations in this order, and with stopping there.

    With good practice (`signed`) what serves a joint is put away.
    """
    faults = []
    done: set[str] = set()
    earlier = orderings(machine, names)
    for name in names:
        faults += [
            f"{name}: before {_one_of(clause)}"
            for clause in machine.operations[name].asks
            if not clause & done
        ]
        faults += [
            f"{name}: before {first}"
            for first, later in sorted(earlier)
            if later == name and first not in done
        ]
        done.add(name)
    faults += [f"target not reached: {_one_of(clause)} is missing" for clause in asked if not clause & done]
    called = cracks_called(machine, done)
    cracks = {name for name in done if name.startswith("crack ")}
    faults += [f"{name}: missing" for name in sorted(called - cracks)]
    faults += [f"{name}: not called for" for name in sorted(cracks - called)]
    renewed = joined(machine, done)
    faults += [f"{name}: not renewed" for name in sorted(renewed - done)]
    away = (put_away(machine, done) if signed else set()) | put_down(machine, done)
    restored = {n for n in done if n.startswith("restore ")}
    faults += [f"{name}: not put away" for name in sorted(away - restored)]
    # Slackening is for loosening, and undoing for what names the joint.
    wanted = {n for clause in asked for n in clause}
    wanted |= {n for name in done for clause in machine.operations[name].asks for n in clause}
    unasked = done - wanted - called - renewed - away - set(machine.first)
    return faults + [f"{name}: nothing asks for it" for name in sorted(unasked)]


def superfluous(
    machine: Machine, names: Sequence[str], asked: Sequence[Clause], *, signed: bool = False
) -> list[str]:
    """The operations without which the rest, in the same order, would do as well."""
    faults = []
    for name in names:
        gone = following_from(machine, names, name, asked)
        if not order_faults(machine, [kept for kept in names if kept not in gone], asked, signed=signed):
            faults.append(f"superfluous: {', '.join(sorted(gone))}")
    return faults


def _one_of(clause: Clause) -> str:
    return " or ".join(sorted(clause))


def _differ(told: Any, right: Any) -> bool:
    return isinstance(told, bool) or not isinstance(told, int | float) or abs(told - float(right)) > TOLERANCE


def _step_faults(machine: Machine, plan: dict[str, Any]) -> list[str]:
    faults = []
    for told, right in zip(plan["steps"], steps_of(machine, [s["op"] for s in plan["steps"]]), strict=True):
        name = told["op"]
        if told["position"] != right.operation.position:
            faults.append(f"{name}: position {told['position']}, should be {right.operation.position}")
        if _differ(told["seconds"], right.seconds):
            faults.append(f"{name}: seconds {told['seconds']}, should be {float(right.seconds)}")
        if _differ(told["change_seconds"], right.change_seconds):
            faults.append(
                f"{name}: change_seconds {told['change_seconds']}, should be {float(right.change_seconds)}"
            )
    return faults


def _tool_faults(machine: Machine, plan: dict[str, Any]) -> list[str]:
    """Declared tools go by their names; a head's tool by any one name that no other tool has."""
    faults = []
    name_of: dict[Tool, str] = {tool: tool for tool in machine.drives if isinstance(tool, str)}
    tool_of: dict[str, Tool] = {name: tool for tool, name in name_of.items()}
    for step in plan["steps"]:
        right, told = machine.operations[step["op"]].tool, step["tool"]
        if name_of.setdefault(right, told) != told:
            faults.append(f"{step['op']}: tool {told}, should be {name_of[right]}")
        elif tool_of.setdefault(told, right) != right:
            faults.append(f"{step['op']}: tool {told} is the one for {tool_of[told]}")
    return faults


def _total_faults(machine: Machine, plan: dict[str, Any]) -> list[str]:
    steps = steps_of(machine, [step["op"] for step in plan["steps"]])
    right = {
        "seconds": sum(step.seconds + step.change_seconds for step in steps),
        "tool_changes": sum(step.tool_change for step in steps),
        "reach_arounds": sum(step.reach_around for step in steps),
    }
    totals, bound, proven = plan["totals"], plan["bound_seconds"], plan["proven"]
    faults = [
        f"totals: {key} {totals[key]}, should be {float(value)}"
        for key, value in right.items()
        if _differ(totals[key], value)
    ]
    if bound > totals["seconds"] + TOLERANCE:
        faults.append(f"bound_seconds {bound} is beyond the plan's own {totals['seconds']}")
    if proven is not (abs(bound - totals["seconds"]) <= TOLERANCE):
        faults.append(f"proven {proven}, with bound_seconds {bound} and seconds {totals['seconds']}")
    return faults
