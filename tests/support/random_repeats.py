"""Random machines, some of whose parts, tasks and fluids are written once for several."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from tests.support.plain_machine import Target, as_data, as_text
from tests.support.plain_repeat import SECTIONS, written_out
from tests.support.random_machines import BRIEF, random_machine

SIDES = ("left", "right", "middle")


def random_repeated(
    seed: int, size: int = 3, change: Callable[[str, int], str] = lambda text, _: text
) -> tuple[str, str, list[Target]]:
    """A machine with `repeat`, the same written out, and targets; the same for the same number.

    ``change`` adds to the machine before anything is written once for several.
    """
    rng = random.Random(f"repeat {seed}")
    text, targets = random_machine(seed, size, torques=seed % 2 == 1)
    machine = as_data(change(text, seed))
    stands = list(machine["positions"])
    sides = {side: {"stand": rng.choice(stands), "time": rng.choice(BRIEF)} for side in SIDES[: 1 + seed % 3]}
    machine["repeat"] = {"side": sides, "row": ["1", "2"]}
    names = {
        name: f"{name}-<side>" if rng.random() < 0.8 else f"{name}-<side>-<row>"
        for section in ("parts", "tasks", "fluids")
        for name in machine.get(section, {})
        if rng.random() < 0.4
    }
    _drop_rides(machine, names)
    machine = _renamed(machine, names)
    for name, part in machine["parts"].items():
        if "<side>" in name:
            part |= {
                key: value
                for key, value in (("from", "<side.stand>"), ("time", "<side.time>"))
                if rng.random() < 0.5
            }
    machine["parts"] |= _of_one_alone(rng, machine["parts"], sides)
    plain = written_out(machine)
    asked = [(verb, to) for verb, what in targets for to in _targets(what, names, sides)]
    return as_text(machine), as_text(plain), asked


def _of_one_alone(rng: random.Random, parts: dict[str, Any], sides: dict[str, Any]) -> dict[str, Any]:
    """What is said of one of several alone: of a side, or of one of its rows."""
    found: dict[str, Any] = {}
    for name, part in parts.items():
        if "<side>" in name and rng.random() < 0.4:
            one = name.replace("<side>", rng.choice([*sides]))
            key = one.replace("<row>", "2") if rng.random() < 0.5 else one
            joint = rng.choice([*part["joints"], "own"])
            about = {"time": rng.choice(BRIEF)} if joint != "own" else {"kind": "connector", "time": "6 s"}
            found[key] = {"time": rng.choice(BRIEF), "joints": {joint: about}}
    return found


def _drop_rides(machine: dict[str, Any], names: dict[str, str]) -> None:
    """What rides on one of several is one of as many itself, by the same marks."""
    for name, part in machine["parts"].items():
        if "rides" in part:
            on = part["rides"]["on"]
            if on in names and names.get(name, "").removeprefix(name) != names[on].removeprefix(on):
                del part["rides"]
    for fluid in machine.get("fluids", {}).values():
        drain = fluid["drain"]
        for holder in (drain, drain.get("plug") or {}):  # one part: a mark in it would stand for several
            if holder.get("again_after") in names:
                del holder["again_after"]


def _renamed(thing: Any, names: dict[str, str], depth: int = 0, key: str = "") -> Any:
    if isinstance(thing, dict):
        of_names = depth == 1 and key in SECTIONS
        return {
            names.get(name, name) if of_names or depth > 3 else name: _renamed(one, names, depth + 1, name)
            for name, one in thing.items()
        }
    if isinstance(thing, list):
        return [_renamed(one, names, depth + 1, key) for one in thing]
    if isinstance(thing, str) and depth > 1 and key not in ("label", "source"):
        name, slash, joint = thing.partition("/")
        return f"{names.get(name, name)}{slash}{joint}"
    return thing


def _targets(what: str, names: dict[str, str], sides: dict[str, Any]) -> list[str]:
    name, sign, state = what.partition("=")
    written = names.get(name, name)
    for_sides = [written.replace("<side>", side) for side in sides] if "<side>" in written else [written]
    for_rows = [one.replace("<row>", row) for one in for_sides for row in "12"]
    return [f"{one}{sign}{state}" for one in dict.fromkeys(for_rows)]
