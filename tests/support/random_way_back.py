"""What a random machine says of its way back: torques, plugs, rides, tasks of it, and what it waits for."""

from __future__ import annotations

import random
from typing import Any

TIMES = ("5 s", "8 s", 12, "20 s", 7.5, "25 s", "40 s", "1 min", "1 min 30 s")
FASTENERS = (
    ("bolt", (10, 13, "1/2 in", "E10", "allen 6")),
    ("nut", (10, 13, 15)),
    ("screw", ("T25", "PH2", "slot", "allen 6")),
    ("stud", (15, "E10")),
)
TORQUES = ("9 N.m", "22 N.m", {"stages": ["10 N.m", "20 N.m", "90 deg"]}, {"stages": ["5 N.m", "12 N.m"]})


def add_way_back(seed: int, machine: dict[str, Any]) -> None:
    """All of it, each from a number of its own, so that one more thing to say changes none of the others."""
    _add_fluids_and_tasks(random.Random(f"way back {seed}"), machine)
    _add_plugs(random.Random(f"plugs {seed}"), machine)
    _add_ride(random.Random(f"ride {seed}"), machine)
    _add_fits(random.Random(f"fits {seed}"), machine)
    _add_with(random.Random(f"with {seed}"), machine)
    _add_again(random.Random(f"again {seed}"), machine)
    _add_readying(random.Random(f"ready {seed}"), machine)
    _add_home_tasks(random.Random(f"home {seed}"), machine)


def _add_fluids_and_tasks(rng: random.Random, machine: dict[str, Any]) -> None:
    """Torques on most fasteners; where and with what fluids are filled and tasks undone."""
    places = {"from": tuple(machine["positions"]), "tool": ("hand", *machine["tools"])}
    for part in machine["parts"].values():
        for joint in part["joints"].values():
            if joint["kind"] in dict(FASTENERS) and rng.random() < 0.7:
                joint["torque"] = rng.choice(TORQUES)
    back = [fluid["fill"] for fluid in machine.get("fluids", {}).values()]
    back += [task["undo"] for task in machine.get("tasks", {}).values() if "undo" in task]
    for about in back:
        about |= {key: rng.choice(choice) for key, choice in places.items() if rng.random() < 0.5}
    for fluid in machine.get("fluids", {}).values():
        if rng.random() < 0.3:
            fluid["fill"]["behind"] = [rng.choice(tuple(machine["parts"]))]


def _add_plugs(rng: random.Random, machine: dict[str, Any]) -> None:
    """Some drains have a plug, some of these a torque."""
    for fluid in machine.get("fluids", {}).values():
        if rng.random() < 0.6:
            own = {"tool": ("hand", *machine["tools"]), "torque": TORQUES, "thread": ("M14x1.5",)}
            fluid["drain"]["plug"] = {
                key: rng.choice(some) for key, some in own.items() if rng.random() < 0.7
            }


def _add_with(rng: random.Random, machine: dict[str, Any]) -> None:
    """With some fluids a part is renewed, or two."""
    for fluid in machine.get("fluids", {}).values():
        if rng.random() < 0.5:
            parts = list(machine["parts"])
            fluid["with"] = rng.sample(parts, rng.randint(1, min(2, len(parts))))


def _add_ride(rng: random.Random, machine: dict[str, Any]) -> None:
    """In some machines a part may go off together with one that comes before it."""
    parts = machine["parts"]
    names = list(parts)
    if len(names) < 2 or rng.random() < 0.5:
        return
    on, rider = sorted(rng.sample(range(len(names)), 2))
    joints = list(parts[names[rider]]["joints"])
    if joints and names[on] not in repr(parts[names[rider]]) and names[rider] not in repr(parts[names[on]]):
        held = rng.sample(joints, rng.randint(1, len(joints)))
        parts[names[rider]]["rides"] = {"on": names[on], "with": held}


def _add_fits(rng: random.Random, machine: dict[str, Any]) -> None:
    """Some joints go together in their own way."""
    own = {"from": tuple(machine["positions"]), "tool": ("hand", *machine["tools"]), "time": TIMES}
    for part in machine["parts"].values():
        for joint in part["joints"].values():
            if rng.random() < 0.2:
                joint["fit"] = {key: rng.choice(choice) for key, choice in own.items() if rng.random() < 0.6}


def _add_readying(rng: random.Random, machine: dict[str, Any]) -> None:
    """Some tasks are after others; in half of the machines the last position asks for tasks and empty tanks.

    What it asks for is done elsewhere and waits for nothing done there, so that no file has a circle.
    """
    default, *_, last = machine["positions"]
    tasks, fluids = machine.get("tasks", {}), machine.get("fluids", {})
    first = machine.get("first", [])
    for fluid in fluids.values():
        if rng.random() < 0.2:
            fluid["fill"] = "none"

    def there(*works: Any) -> bool:
        return any(work != "none" and work.get("from", default) == last for work in works)

    at_last = {n for n, t in tasks.items() if there(t, {"from": t.get("from", default), **t.get("undo", {})})}
    for number, (name, task) in enumerate(tasks.items()):
        can = [n for n in list(tasks)[:number] if (n in first or name not in first)]
        can = [n for n in can if name in at_last or n not in at_last]
        if can and rng.random() < 0.5:
            task["after"] = [rng.choice(can)]
    if rng.random() < 0.5 or at_last & {*first}:
        return
    asked = {
        "needs": [name for name in tasks if name not in at_last],
        "drained": [name for name, of in fluids.items() if not there(of["drain"], of["fill"])],
    }
    machine["positions"][last] |= {key: [rng.choice(some)] for key, some in asked.items() if some}


def _add_again(rng: random.Random, machine: dict[str, Any]) -> None:
    """Some fluids run out once more when a part is off."""
    for fluid in machine.get("fluids", {}).values():
        if rng.random() < 0.4:
            part = rng.choice(list(machine["parts"]))
            if part not in (fluid["drain"].get("behind") or []):
                fluid["drain"]["again_after"] = part


def _add_home_tasks(rng: random.Random, machine: dict[str, Any]) -> None:
    """In some machines a task of the way back, or two of which one is after the other."""
    tasks, fluids = machine.setdefault("tasks", {}), machine.get("fluids", {})
    positions = machine["positions"]
    for name in ("bleed", "run")[: rng.choice((0, 0, 1, 1, 2))]:
        where = rng.choice(
            [p for p, at in positions.items() if not (at or {}).get("drained")] or [*positions]
        )
        kept = {
            *((positions[where] or {}).get("needs") or ()),
            *((positions[where] or {}).get("drained") or ()),
        }
        filled = [fluid for fluid, of in fluids.items() if of["fill"] != "none" and fluid not in kept]
        undone = [n for n, of in tasks.items() if "undo" in (of or {}) and n not in kept]
        named = [*rng.sample(filled, min(len(filled), 1)), *rng.sample(undone, min(len(undone), 1))]
        about: dict[str, Any] = {"only": "back", "time": rng.choice(TIMES), "from": where}
        about["behind"] = [one for one in named if rng.random() < 0.6]
        about["back_before"] = rng.sample(list(machine["parts"]), 1) if rng.random() < 0.5 else []
        if name == "run" and "bleed" in tasks and rng.random() < 0.5:
            about["after"] = ["bleed"]
        tasks[name] = about


def add_waits(rng: random.Random, machine: dict[str, Any]) -> None:
    """In some machines a torque waits until something that its part does not wait for is back."""
    tasks, fluids = machine.get("tasks", {}), machine.get("fluids", {})
    back = [name for name, task in tasks.items() if "undo" in (task or {}) or "only" in (task or {})]
    back += [fluid for fluid, of in fluids.items() if of["fill"] != "none"]
    for name, part in machine["parts"].items():
        others = [p for p in machine["parts"] if p != name and p not in repr(part)]
        others += [f"{p}/{j}" for p in others for j in machine["parts"][p]["joints"]]
        for joint in part["joints"].values():
            if "torque" in joint and rng.random() < 0.2:
                torque = joint["torque"]
                about = dict(torque) if isinstance(torque, dict) else {"value": torque}
                about["when"] = [rng.choice([*back, *others])] if back or others else []
                plain = [
                    p for p, at in machine["positions"].items() if not {"needs", "drained"} & set(at or {})
                ]
                if plain and rng.random() < 0.8:
                    about["from"] = rng.choice(plain)
                joint["torque"] = about
