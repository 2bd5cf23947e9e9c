"""Machines for simulated people to work on, as a home mechanic writes them: 15 to 60 steps to the target.

Middles: those of `kinds.toml`, each by an author who guesses a third too long or too short. Of the times of
joints half are plain, 3 in 10 are ranges whose longer end is twice to six times the shorter, the others are
left out. All invented.
"""

from __future__ import annotations

import random
import tomllib
from importlib.resources import files
from itertools import count
from math import exp
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.targets import parse_targets
from sequencer.machine import Machine, read_text
from sequencer.plan.plan import Plan
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from tests.support.plain_machine import as_text

PUMP = Path(__file__).parents[2] / "examples" / "bench-pump.yaml"
NAMES = (
    *("cover", "shield", "tray", "duct", "fan", "belt-guard", "bracket", "carrier", "pump", "pulley"),
    *("mount", "rail", "housing", "cooler", "exhaust-pipe", "manifold", "fuel-line", "brake-line", "strut"),
)
SIZES = {10: ("M6", "9 N.m"), 13: ("M8", "22 N.m"), 16: ("M10", "45 N.m"), 18: ("M12", "75 N.m")}
OTHERS = ("connector", "connector", "clip", "hose", "clamp", "union", "cable", "seal", "plug")
FEWEST, MOST = 15, 60
_KINDS = tomllib.loads(files("sequencer.machine").joinpath("data", "kinds.toml").read_text("utf-8"))


def plans(machines: int, *, back: bool = True) -> list[tuple[str, Plan]]:
    """The bench pump and as many invented machines: each with its text and its way in, then its way back."""
    found: list[tuple[str, Plan]] = []
    for text, off in [(PUMP.read_text("utf-8"), "seal"), *(_written(seed) for seed in range(machines))]:
        machine = _read(text)
        way_in = plan_teardown(machine, parse_targets(machine, [off]), practice=Practice.NONE)
        found.append((text, way_in))
        if back:
            found.append((text, plan_refit(way_in)))
    return found


def _written(seed: int) -> tuple[str, str]:
    """A machine that comes apart in as many steps as wanted, and the part that has to come off."""
    for attempt in count():
        rng = random.Random(f"people {seed} {attempt}")
        about = _machine(rng, rng.randint(6, len(NAMES)))
        off, text = list(about["parts"])[-1], as_text(about)
        machine = _read(text)
        try:
            plan = plan_teardown(machine, parse_targets(machine, [off]), practice=Practice.NONE)
        except SequencerError:
            continue
        if FEWEST <= len(plan.steps) <= MOST:
            return text, off
    raise AssertionError


def _read(text: str) -> Machine:
    reading = read_text(text, "machine.yaml")
    assert reading.machine is not None, reading
    return reading.machine


def _machine(rng: random.Random, size: int) -> dict[str, Any]:
    machine: dict[str, Any] = {"machine": "Invented, for simulated people"}
    if rng.random() < 0.6:
        machine["condition"] = {
            "rust": rng.choices(("none", "light", "heavy"), (3, 5, 2))[0],
            "age": f"{rng.randint(1, 25)} years",
        }
    machine["positions"] = {
        "front": {"label": "In front"},
        "under": {"label": "Underneath", "enter": "1 min", "leave": "40 s"},
        "side": {"label": "At the side"},
    }
    machine["fluids"] = {"oil": {"drain": {"from": "under", "time": "8 min"}, "fill": {"time": "5 min"}}}
    machine["tasks"] = {
        "isolate": {"label": "Isolate it", "time": "4 min", "undo": {"time": "3 min"}},
        "raise": {"label": "Raise it, stands under it", "time": "8 to 20 min", "undo": {"time": "5 min"}},
    }
    machine["first"] = ["isolate"]
    names = rng.sample(NAMES, size)
    machine["parts"] = parts = {name: _part(rng, names[:at]) for at, name in enumerate(names)}
    if rng.random() < 0.5:
        parts[names[-1]]["wet"] = ["oil"]
    if rng.random() < 0.6:
        parts[names[-1]]["needs"] = ["raise"]
    return machine


def _part(rng: random.Random, before: list[str]) -> dict[str, Any]:
    part: dict[str, Any] = {"from": rng.choices(("front", "under", "side"), (5, 3, 2))[0]}
    if before:
        near = before[-4:]
        part["behind"] = rng.sample(near, min(len(near), rng.choice((1, 1, 2))))
    if rng.random() < 0.7:
        part["time"] = _time(rng, 40)
    part["joints"] = {name: _joint(rng) for name in ("near", "far", "low")[: rng.choice((1, 2, 2, 3))]}
    return part


def _joint(rng: random.Random) -> dict[str, Any]:
    if rng.random() < 0.3:
        joint: dict[str, Any] = {"kind": rng.choice(OTHERS), "tool": "hand"}
        number = rng.choice((1, 1, 2, 3)) if joint["kind"] in {"clip", "connector"} else 1
    else:
        joint = {"kind": rng.choices(("bolt", "nut", "screw", "stud"), (6, 3, 3, 1))[0]}
        number = rng.choice((1, 2, 2, 3, 4, 4, 6, 8))
        if joint["kind"] == "screw":
            joint["head"] = rng.choice(("T25", "PH2", "allen 6", "slot"))
        else:
            joint["head"] = rng.choices(list(SIZES), (4, 5, 3, 1))[0]
            thread, torque = SIZES[joint["head"]]
            joint |= {"thread": thread, "class": 8.8, "torque": torque, "source": "invented"}
    joint["count"] = number
    form = rng.random()
    if form < 0.8:
        middle = _KINDS[joint["kind"]]["seconds"] * exp(rng.gauss(0, 0.3))
        each = rng.random() < 0.5
        middle *= 1 if each else number
        joint["each" if each else "time"] = _time(rng, middle, 0.375)
    return joint


def _time(rng: random.Random, middle: float, ranged: float = 0.3) -> str:
    """A time as an author writes it: plain, or with the given chance a range about the same middle."""
    if rng.random() >= ranged:
        return f"{max(5, round(middle / 5) * 5)} s"
    half = rng.uniform(2, 6) ** 0.5
    low = max(1, round(middle / half))
    return f"{low} to {max(low + 1, round(middle * half))} s"
