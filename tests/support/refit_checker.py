"""Replays a reassembly from the state that the teardown left, and says everything that is wrong with it.

Written from the format page and the meaning of a way back alone. What the page leaves to the program (the
time with a torque wrench, the time of a leak check) is taken as told, as long as it takes any time at all.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from tests.support.plain_machine import Machine, Target, Tool, goal, load_machine, seconds
from tests.support.plain_rules import tool_seconds
from tests.support.refit_state import Aftermath

TOLERANCE = 1e-6
TORQUE_WRENCH = "torque wrench"


def check_refit(
    source: Machine | Path | str,
    targets: list[Target],
    teardown: dict[str, Any],
    refit: dict[str, Any],
) -> list[str]:
    """All faults of a reassembly; an empty list for a good one."""
    machine = source if isinstance(source, Machine) else load_machine(source)
    names = [step["op"] for step in refit["steps"]]
    after = Aftermath(machine, tuple(step["op"] for step in teardown["steps"]))
    asked = goal(machine, targets)
    faults = [f"the teardown lacks {' or '.join(sorted(c))}" for c in asked if c.isdisjoint(after.done)]
    faults += [] if refit["targets"] == teardown["targets"] else ["targets: not those of the teardown"]
    faults += after.choice_faults(names)
    if faults:
        return faults
    faults = [fault for done, name in enumerate(names) for fault in after.step_faults(name, names[done:])]
    faults += _gate_faults(after, refit)
    faults += _figure_faults(after, teardown, refit)
    return faults


def tool_of(after: Aftermath, name: str) -> Tool:
    kind, _, thing = name.partition(" ")
    if kind == "restore":
        task = after.text["tasks"][thing]
        return (task["undo"] or {}).get("tool", task.get("tool", "hand"))
    if kind == "task":
        return after.text["tasks"][thing].get("tool", "hand")
    if kind == "fill":
        return after.text["fluids"][thing]["fill"].get("tool", "hand")
    if kind == "close":
        return (after.plug(thing) or {}).get("tool", after.text["fluids"][thing]["drain"].get("tool", "hand"))
    if "/" not in thing:
        return "hand"
    apart = after.machine.operations[f"undo {thing}"].tool
    together = (after.joint(thing).get("fit") or {}).get("tool", apart)
    turned = kind in ("torque", "retighten")  # nothing is turned to its torque with bare hands
    return apart if turned and together == "hand" else together


def seconds_of(after: Aftermath, name: str, names: Collection[str]) -> Fraction | None:
    """A step's own time; None where the page leaves it to the program."""
    kind, _, thing = name.partition(" ")
    times = {op: after.machine.operations.get(f"{op} {thing}") for op in ("undo", "crack")}
    match kind:
        case "restore":
            task = after.text["tasks"][thing]
            return seconds((task["undo"] or {}).get("time", task["time"]))
        case "task":
            return seconds(after.text["tasks"][thing]["time"])
        case "fill":
            return seconds(after.text["fluids"][thing]["fill"]["time"])
        case "fasten" | "tighten" if times["undo"]:
            share = Fraction(1, 3) if kind == "tighten" else Fraction(2, 3)
            fit = after.joint(thing).get("fit") or {}
            whole = seconds(fit["time"]) if "time" in fit else times["undo"].seconds
            return whole * (share if f"tighten {thing}" in names else 1)
        case "retighten" if times["crack"]:
            return times["crack"].seconds
        case "fit" | "move-back" | "seat":
            answered = {"fit": "remove", "move-back": "move-aside", "seat": "loosen"}[kind]
            return after.machine.operations[f"{answered} {thing}"].seconds
    return None


def in_hand(after: Aftermath, name: str) -> Tool:
    """What the person holds for a step: for a torque the wrench with the joint's tool on it."""
    tool = tool_of(after, name)
    return (TORQUE_WRENCH, str(tool)) if gated(after, name) else tool


def gated(after: Aftermath, name: str) -> str | None:
    """The joint that a step gives its torque."""
    kind, _, thing = name.partition(" ")
    if kind == "close":
        return f"{thing}/plug" if "torque" in (after.plug(thing) or {}) else None
    return thing if kind == "torque" else None


def with_wrenches(after: Aftermath) -> Machine:
    """The machine with its torque wrenches, all on one drive."""
    tools = [in_hand(after, name) for name in after.allowed]
    wrenches = {tool: TORQUE_WRENCH for tool in tools if tool[0] == TORQUE_WRENCH}
    return replace(after.machine, drives={**after.machine.drives, **wrenches})


def changes_before(after: Aftermath, names: Sequence[str]) -> list[tuple[Fraction, bool, bool]]:
    """For each step the seconds before it, and whether tool and position change."""
    machine = with_wrenches(after)
    found = []
    old: Tool = "hand"
    where = machine.start
    for name in names:
        tool, here = in_hand(after, name), after.position_of(name)
        start = here if where is None else where
        change = tool_seconds(machine, old, tool) + machine.ways[start, here]
        found.append((change, tool not in ("hand", old), start != here))
        old, where = tool, here
    return found


def _gate_faults(after: Aftermath, refit: dict[str, Any]) -> list[str]:
    """Each torque step is a gate, and the gate's last step is right."""
    names = [step["op"] for step in refit["steps"]]
    told = {gate["joint"]: gate for gate in refit["gates"]}
    steps = {path: number for number, name in enumerate(names, 1) if (path := gated(after, name))}
    faults = []
    if [gate["joint"] for gate in refit["gates"]] != list(steps):
        faults.append(f"gates {sorted(told)}, should be {sorted(steps)}, in the order of their steps")
    for path, number in steps.items():
        gate = told.get(path, {"step": None, "last_step": None, "waits_for": []})
        closing = (n for n in range(number, len(names) + 1) if _shut(after, path, names[n:]))
        right = {
            "step": number,
            "last_step": next(closing, None),
            "waits_for": after.holders(path) if path in after.did("crack") else [],
        }
        faults += [
            f"gate {path}: {key} {gate[key]}, should be {value}"
            for key, value in right.items()
            if gate[key] != value
        ]
    for number, step in enumerate(refit["steps"], 1):
        closed = [gate["joint"] for gate in refit["gates"] if gate["last_step"] == number]
        if step["closes_off"] != closed:
            faults.append(f"{step['op']}: closes_off {step['closes_off']}, should be {closed}")
    return faults


def _shut(after: Aftermath, path: str, left: list[str]) -> list[Any]:
    """What is in front of a gate once only these steps are to come."""
    fluid = path.removesuffix("/plug")
    if fluid in (after.text.get("fluids") or {}) and f"close {fluid}" in after.allowed:
        return after.in_front(after.text["fluids"][fluid]["drain"], left)
    return after.blocked(path, left)


def _figure_faults(after: Aftermath, teardown: dict[str, Any], refit: dict[str, Any]) -> list[str]:
    names = [step["op"] for step in refit["steps"]]
    name_of = {after.machine.operations[s["op"]].tool: s["tool"] for s in teardown["steps"]}
    total, faults = Fraction(0), []
    changes = changes_before(after, names)
    for told, (change, _, _) in zip(refit["steps"], changes, strict=True):
        name, tool = told["op"], tool_of(after, told["op"])
        word = str(name_of.get(tool, tool))
        if gated(after, name):
            word = "torque-wrench" if word == "hand" else f"torque-wrench+{word}"
        own = seconds_of(after, name, names)
        if own is None and told["seconds"] <= 0:
            faults.append(f"{name}: takes no time")
        own = Fraction(told["seconds"]) if own is None else own
        total += own + change
        right = {"position": after.position_of(name), "tool": word, "seconds": own, "change_seconds": change}
        faults += [f"{name}: {k} {told[k]}, should be {v}" for k, v in right.items() if _differ(told[k], v)]
    right = {
        "seconds": total,
        "tool_changes": sum(tool for _, tool, _ in changes),
        "reach_arounds": sum(move for _, _, move in changes),
    }
    totals, bound, proven = refit["totals"], refit["bound_seconds"], refit["proven"]
    faults += [f"totals: {k} {totals[k]}, should be {v}" for k, v in right.items() if _differ(totals[k], v)]
    if bound > totals["seconds"] + TOLERANCE or (proven and bound < totals["seconds"] - TOLERANCE):
        faults.append(f"bound_seconds {bound} with seconds {totals['seconds']} and proven {proven}")
    return faults


def _differ(told: Any, right: Any) -> bool:
    if isinstance(right, str):
        return told != right
    return isinstance(told, bool) or not isinstance(told, int | float) or abs(told - float(right)) > TOLERANCE
