"""A schedule for several people, checked against nothing but the machine file's meaning."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from tests.support.checker import order_faults
from tests.support.plain_machine import Machine, Target, Tool, goal
from tests.support.plain_rules import orderings, own_seconds, tool_seconds

TOLERANCE = 1e-6


def check_schedule(machine: Machine, targets: list[Target], plan: dict[str, Any]) -> list[str]:
    """All faults of the ``schedule`` in a plan's JSON; an empty list for a good one."""
    schedule = plan["schedule"]
    turns = schedule["turns"]
    names = [turn["op"] for turn in turns]
    faults = []
    if sorted(names) != sorted(step["op"] for step in plan["steps"]):
        faults.append("not the steps of the plan")
    faults += order_faults(machine, names, goal(machine, targets))
    faults += _needs(machine, turns)
    people = {person for turn in turns for person in turn["people"]}
    if len(people) > schedule["people"]:
        faults.append(f"{sorted(people)} at work")
    held: dict[tuple[str, Any], list[tuple[float, float]]] = {}
    for person in sorted(people):
        faults += _person(machine, turns, person, held)
    faults += _capacities(machine, schedule, held)
    length = max((turn["end"] for turn in turns), default=0)
    if abs(length - schedule["seconds"]) > TOLERANCE:
        faults.append(f"seconds {schedule['seconds']}, should be {length}")
    if schedule["proven"] is not (abs(length - schedule["bound_seconds"]) <= TOLERANCE):
        faults.append(f"proven {schedule['proven']}, bound {schedule['bound_seconds']}, length {length}")
    return faults


def people_wanted(machine: Machine, name: str) -> int:
    """How many people an operation takes at once."""
    kind, _, thing = name.partition(" ")
    if kind == "remove":
        return int((machine.text["parts"][thing] or {}).get("people", 1))
    if kind == "task":
        return int((machine.text["tasks"][thing] or {}).get("people", 1))
    if kind == "restore":
        task = machine.text["tasks"][thing]
        return int((task["undo"] or {}).get("people", task.get("people", 1)))
    return 1


def _needs(machine: Machine, turns: list[dict[str, Any]]) -> list[str]:
    faults = []
    ends = {turn["op"]: turn["end"] for turn in turns}
    pairs = orderings(machine, ends)
    for turn in turns:
        name = turn["op"]
        lasts = own_seconds(machine, name, ends)
        if abs(turn["end"] - turn["start"] - float(lasts)) > TOLERANCE:
            faults.append(f"{name}: from {turn['start']} to {turn['end']}, lasts {float(lasts)}")
        wanted = people_wanted(machine, name) if lasts else 1
        if len(turn["people"]) != wanted or len(set(turn["people"])) != wanted:
            faults.append(f"{name}: by {turn['people']}, takes {wanted}")
        for clause in machine.operations[name].asks:
            if not any(ends.get(other, float("inf")) <= turn["start"] + TOLERANCE for other in clause):
                faults.append(f"{name}: starts before {sorted(clause)}")
        for first, later in pairs:
            if later == name and ends[first] > turn["start"] + TOLERANCE:
                faults.append(f"{name}: starts before {first} has ended")
    return faults


def _person(
    machine: Machine,
    turns: list[dict[str, Any]],
    person: str,
    held: dict[tuple[str, Any], list[tuple[float, float]]],
) -> list[str]:
    """Changes are paid, nobody is in two places; notes in ``held`` what the person keeps from the others."""
    faults = []
    mine = [turn for turn in turns if person in turn["people"]]
    free, tool, position = 0.0, "hand", machine.start
    stays: list[tuple[dict[str, Any], str, Tool, bool]] = []
    for turn in mine:
        operation = machine.operations[turn["op"]]
        place = turn["people"].index(person)
        with_tool: Tool = operation.tool if place == 0 else "hand"
        way = machine.ways[position or operation.position, operation.position]
        change = tool_seconds(machine, tool, with_tool) + way
        if turn["start"] + TOLERANCE < free + float(change):
            faults.append(f"{person}: {turn['op']} at {turn['start']}, free at {free}, {float(change)} away")
        stays.append((turn, operation.position, with_tool, place < _room(machine, operation.position)))
        free, tool, position = turn["end"], with_tool, operation.position
    pick, put = float(machine.pace["pick_up"]), float(machine.pace["put_down"])
    things = {thing for _, where, what, _ in stays for thing in _things(machine, where, what, inside=True)}
    for thing in things:
        before = after = 0.0
        if thing[0] == "position":
            about = machine.text["positions"][thing[1]] or {}
            before, after = (float(_seconds(about.get(key, 0))) for key in ("enter", "leave"))
        elif thing[0] in ("tool", "drive"):
            before, after = pick, put
        run: list[float] = []
        for turn, where, what, inside in [*stays, ({}, "", "hand", False)]:
            if turn and thing in _things(machine, where, what, inside=inside):
                run = [run[0] if run else turn["start"] - before, turn["end"] + after]
            elif run:
                held.setdefault(thing, []).append((run[0], run[1]))
                run = []
    return faults


def _things(machine: Machine, where: str, what: Tool, *, inside: bool) -> set[tuple[str, Any]]:
    things: set[tuple[str, Any]] = {("position", where)} if inside and where else set()
    if what != "hand":
        things.add(("tool", what))
        if machine.drives[what] is not None:
            things.add(("drive", machine.drives[what]))
    return things


def _capacities(
    machine: Machine, schedule: dict[str, Any], held: dict[tuple[str, Any], list[tuple[float, float]]]
) -> list[str]:
    faults = []
    for (kind, name), spans in held.items():
        if kind == "position":
            count = _room(machine, name)
        elif kind == "tool":
            count = _count(machine, name)
        else:
            on = [tool for tool, drive in machine.drives.items() if drive == name]
            used = {thing[1] for thing in held if thing[0] == "tool"}
            counts = [_count(machine, tool) for tool in on if tool in used]
            count = max(schedule["handles"], *counts)
        if count >= schedule["people"]:
            continue
        for moment, _ in spans:
            at_once = sum(start <= moment + TOLERANCE < end - TOLERANCE for start, end in spans)
            if at_once > count:
                faults.append(f"{kind} {name}: {at_once} people at {moment}, {count} there")
    return faults


def _room(machine: Machine, position: str) -> int:
    return int((machine.text["positions"][position] or {}).get("room", 1))


def _count(machine: Machine, tool: Tool) -> int:
    declared = (machine.text.get("tools") or {}).get(tool) if isinstance(tool, str) else None
    return int((declared or {}).get("count", 1))


def _seconds(value: Any) -> Fraction:
    from tests.support.plain_machine import seconds

    return seconds(value)
