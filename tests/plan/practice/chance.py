"""What machines by chance get besides, for the rules of good practice."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest

from sequencer.plan.practice import keep
from tests.support.plain_machine import as_data, as_text


def add_crack(rng: random.Random, machine: dict[str, Any]) -> None:
    """What a belt does to a pulley."""
    if rng.random() < 0.7:
        names = list(machine["parts"])
        belt, pulley = names[0], rng.choice(names[1:])
        machine["parts"][pulley].setdefault("trapped_by", []).append(belt)
        joint = rng.choice(list(machine["parts"][pulley]["joints"].values()))
        joint["crack"] = {"while": [belt], "time": "6 s"}


def add_helpers(rng: random.Random, machine: dict[str, Any]) -> None:
    """Tasks that serve a joint or two; most are put away again."""
    for helper in ("bar", "lock"):
        if rng.random() < 0.4:
            joints = [
                f"{part}/{joint}" for part, about in machine["parts"].items() for joint in about["joints"]
            ]
            about = {"time": "20 s", "from": rng.choice(list(machine["positions"])), "tool": "long-bar"}
            about["serves"] = rng.sample(joints, rng.choice((1, 1, 2)))
            if rng.random() < 0.8:
                about["undo"] = {"time": "10 s"}
            machine.setdefault("tasks", {})[helper] = about


def add_jacks(rng: random.Random, machine: dict[str, Any]) -> None:
    """A task or two that carry a part or two, and a position below."""
    parts, positions = list(machine["parts"]), list(machine["positions"])
    for jack in ("jack", "sling"):
        if rng.random() < 0.5:
            about = {"time": "30 s", "from": rng.choice(positions), "tool": "long-bar"}
            about["carries"] = rng.sample(parts, min(len(parts), rng.choice((1, 1, 2))))
            others = [part for part in parts if part not in about["carries"]]
            if others and rng.random() < 0.3:
                about["before"] = [rng.choice(others)]
            if rng.random() < 0.85:
                about["undo"] = {"time": "10 s"}
            if rng.random() < 0.15:
                about["rated"] = True
            machine.setdefault("tasks", {})[jack] = about
    machine["positions"][rng.choice(positions)]["below"] = True


def add_faces(rng: random.Random, machine: dict[str, Any]) -> None:
    """Joints that clamp one face together, a few that settle, and parts that weigh something."""
    joints = [joint for about in machine["parts"].values() for joint in about["joints"].values()]
    for face in ("flange", "sump"):
        if len(joints) > 1 and rng.random() < 0.5:
            for joint in rng.sample(joints, rng.choice((2, 2, 3)) if len(joints) > 2 else 2):
                joint["face"] = face
    for joint in joints:
        if "torque" in joint and rng.random() < 0.2:
            joint["settle"] = True
        if "torque" not in joint and rng.random() < 0.2:
            joint |= {"kind": rng.choice(("clip", "latch")), "tool": "hand"}
            joint.pop("head", None)
    for part in machine["parts"].values():
        for thing in (part, *part["joints"].values()):
            if rng.random() < 0.15:
                thing["sealant"] = {"kind": "rtv", "assemble_within": "900 h", "cure": "900 h"}
        if rng.random() < 0.5:
            part["weight"] = rng.choice(("1 kg", "14 kg"))


def changed(text: str, change: Callable[[dict[str, Any]], object]) -> str:
    """The machine's text after a change."""
    machine = as_data(text)
    change(machine)
    return as_text(machine)


def with_chance(text: str, seed: int) -> str:
    """The machine with faces, a crack and helpers."""
    rng = random.Random(f"chance {seed}")

    def change(machine: dict[str, Any]) -> None:
        for add in (add_faces, add_crack, add_helpers, add_jacks):
            add(rng, machine)

    return changed(text, change)


def add_supports(rng: random.Random, machine: dict[str, Any]) -> None:
    """Parts with a weight, a tie or a word on whether they stay; joints of every kind; parts without any."""
    for part in machine["parts"].values():
        if rng.random() < 0.6:
            part["weight"] = rng.choice(("1 kg", "2 kg", "3 kg", "14 kg", "24 kg"))
        if rng.random() < 0.2:
            part["hold"] = rng.random() < 0.4
        if "aside" in part and rng.random() < 0.4:
            part["tie"] = "to the beam"
        for joint in part["joints"].values():
            if "torque" not in joint and "crack" not in joint and rng.random() < 0.6:
                joint |= {"kind": rng.choice(KINDS), "tool": "hand"}
                joint.pop("head", None)
    for task in machine.get("tasks", {}).values():
        if "undo" in task and rng.random() < 0.3:
            task["label"] = rng.choice(("Set it on stands", "Prop it up", "Lay it on a crate", "Mark it"))


KINDS = ("spring", "strap", "hook", "clip", "latch", "clamp", "union", "connector", "hose", "pin", "tie")


def alone(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """One rule of good practice and no other."""

    def of(table: keep.Table) -> keep.Table:
        return lambda job, orders: (rule for rule in table(job, orders) if rule.name.value == name)

    monkeypatch.setattr(keep, "TABLE", tuple(of(table) for table in keep.TABLE))
