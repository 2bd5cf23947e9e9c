"""What holds inside one plan: rules and times that depend on which operations the plan does."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.support.plain_machine import Clause, Machine, Operation, Tool


@dataclass(frozen=True)
class Step:
    """One operation in its place, with what comes before it."""

    operation: Operation
    seconds: Fraction
    change_seconds: Fraction
    tool_change: bool
    reach_around: bool


def cracks_called(machine: Machine, chosen: Iterable[str]) -> set[str]:
    """The cracks that a plan of these operations must have: no others, and none less."""
    chosen = set(chosen)
    touched = {machine.operations[name].part for name in chosen if not name.startswith("crack ")}
    return {
        crack
        for crack, parts in machine.cracks.items()
        if touched & set(parts)
        and {crack.replace("crack", "undo"), crack.replace("crack", "slacken")} & chosen
    }


def broken_loose(machine: Machine, chosen: Iterable[str], task: str) -> list[str]:
    """The operations of a plan that break loose what a task serves."""
    chosen = set(chosen)
    found = []
    for path in machine.text["tasks"][task].get("serves") or []:
        found += [name for kind in ("crack", "slacken", "undo") if (name := f"{kind} {path}") in chosen][:1]
    return found


def put_away(machine: Machine, chosen: Iterable[str]) -> set[str]:
    """The tasks that good practice puts away in a plan."""
    chosen = set(chosen)
    stays: set[str] = set()
    while True:  # what is done after a task that stays in place stays on it
        away = {
            name
            for name, op in machine.operations.items()
            if op.kind == "restore"
            and not machine.text["tasks"][name.partition(" ")[2]].get("carries")
            and (task := name.partition(" ")[2]) not in stays
            and f"task {task}" in chosen
            and broken_loose(machine, chosen, task)
        }
        more = {
            n.partition(" ")[2] for n in away if {f"restore {t}" for t in after(machine, chosen, n)} - away
        }
        if not more:
            return away
        stays |= more


def put_down(machine: Machine, chosen: Iterable[str]) -> set[str]:
    """The tasks that a plan puts away since all that they carry is off."""
    chosen = set(chosen)
    return {
        name
        for name, op in machine.operations.items()
        if op.kind == "restore"
        and machine.text["tasks"][name.partition(" ")[2]].get("carries")
        and all(clause & chosen for clause in op.asks)
    }


def after(machine: Machine, chosen: Iterable[str], restore: str) -> list[str]:
    """The tasks of a plan that are undone before this one is."""
    return [
        task
        for task, about in machine.text["tasks"].items()
        if restore.partition(" ")[2] in (about.get("after") or [])
        and "undo" in about
        and f"task {task}" in chosen
    ]


def leaning_on(machine: Machine, chosen: Iterable[str], task: str) -> set[str]:
    """What a plan does while a task is in place: what it serves, and all else that asks for it."""
    served = set(machine.text["tasks"][task].get("serves") or [])
    asking = {
        name
        for name in chosen
        if frozenset({f"task {task}"}) in machine.operations[name].asks
        and f"task {task}" not in machine.first
        and machine.operations[name].kind != "restore"
        and name not in {f"task {other}" for other in after(machine, chosen, f"restore {task}")}
        and name.partition(" ")[2] not in served
    }
    return asking | set(broken_loose(machine, chosen, task))


def orderings(machine: Machine, chosen: Iterable[str]) -> set[tuple[str, str]]:
    """Pairs (earlier, later) that hold only because both are in the plan."""
    chosen = set(chosen)
    pairs = set()
    for op in (machine.operations[name] for name in chosen):
        if op.kind == "crack":
            same = {f"undo {op.part}/{op.joint}", f"slacken {op.part}/{op.joint}"} & chosen
            held = {n for n in chosen if machine.operations[n].part in machine.cracks[op.name]}
            pairs |= {(op.name, later) for later in (same | held) - {op.name}}
        elif op.kind == "restore" and machine.text["tasks"][op.name.partition(" ")[2]].get("carries"):
            task = op.name.partition(" ")[2]
            at = machine.text["positions"]
            pairs |= {
                (n, op.name)
                for n in chosen
                if task in ((at[machine.operations[n].position] or {}).get("needs") or [])
            }
        elif op.kind == "restore":
            pairs |= {(f"restore {task}", op.name) for task in after(machine, chosen, op.name)}
            pairs |= {(before, op.name) for before in leaning_on(machine, chosen, op.name.partition(" ")[2])}
        elif op.kind == "slacken":
            pairs |= {(op.name, later) for later in {f"undo {op.part}/{op.joint}"} & chosen}
        elif op.kind == "loosen":
            pairs |= {(op.name, later) for later in {f"move-aside {op.part}", f"remove {op.part}"} & chosen}
        elif op.kind == "move-aside":
            pairs |= {(op.name, later) for later in {f"remove {op.part}"} & chosen}
    return pairs


def joined(machine: Machine, chosen: Iterable[str]) -> set[str]:
    """What else belongs to a job that does these operations, be it before or after."""
    chosen = set(chosen)
    found = {other for name in chosen for other in machine.renewed.get(name, ())}
    return found | {
        again for again, (drain, off) in machine.again.items() if drain in chosen and off & chosen
    }


def own_seconds(machine: Machine, name: str, chosen: Iterable[str]) -> Fraction:
    """An operation's own time in a plan of these operations."""
    op = machine.operations[name]
    if op.kind == "undo" and f"slacken {op.part}/{op.joint}" in set(chosen):
        return op.seconds * Fraction(2, 3)
    return op.seconds


def tool_seconds(machine: Machine, old: Tool, new: Tool) -> Fraction:
    """From one tool to the next, taken literally: no detour over empty hands, even where that is quicker."""
    if old == new:
        return Fraction(0)
    if machine.drives[old] is not None and machine.drives[old] == machine.drives[new]:
        return machine.pace["swap"]
    put_down = machine.pace["put_down"] if old != "hand" else Fraction(0)
    return put_down + (machine.pace["pick_up"] if new != "hand" else Fraction(0))


def steps_of(machine: Machine, names: Sequence[str]) -> list[Step]:
    """Walk through the operations in this order."""
    steps = []
    tool: Tool = "hand"
    position = machine.start
    for op in (machine.operations[name] for name in names):
        here = op.position if position is None else position
        moves = here != op.position
        change = tool_seconds(machine, tool, op.tool) + machine.ways[here, op.position]
        taken = op.tool not in ("hand", tool)
        steps.append(Step(op, own_seconds(machine, op.name, names), change, taken, moves))
        tool, position = op.tool, op.position
    return steps


def following_from(
    machine: Machine, chosen: Iterable[str], left_out: str, asked: Sequence[Clause]
) -> set[str]:
    """What goes with an operation that is left out: all that nothing in the rest, and no target, asks for."""
    rest = set(chosen) - {left_out}
    while True:
        mentioned = {n for clause in asked for n in clause}
        mentioned |= {n for kept in rest for clause in machine.operations[kept].asks for n in clause}
        mentioned |= cracks_called(machine, rest)
        mentioned |= joined(machine, rest)
        mentioned |= put_away(machine, rest) | put_down(machine, rest)
        if rest <= mentioned:
            return set(chosen) - rest
        rest &= mentioned


def plan_of(machine: Machine, names: Sequence[str]) -> dict[str, Any]:
    """The plan's fixed part of the JSON for this order, as if it had been proven."""
    steps = steps_of(machine, names)
    total = float(sum(step.seconds + step.change_seconds for step in steps))
    return {
        "steps": [
            {
                "op": step.operation.name,
                "position": step.operation.position,
                "tool": step.operation.tool
                if isinstance(step.operation.tool, str)
                else " ".join(step.operation.tool),
                "seconds": float(step.seconds),
                "change_seconds": float(step.change_seconds),
            }
            for step in steps
        ],
        "totals": {
            "seconds": total,
            "tool_changes": sum(step.tool_change for step in steps),
            "reach_arounds": sum(step.reach_around for step in steps),
        },
        "bound_seconds": total,
        "proven": True,
    }
