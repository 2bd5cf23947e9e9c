"""Random machines that include random assemblies, some of them with `repeat` and with an assembly inside."""

from __future__ import annotations

import random
from typing import Any

from tests.support.plain_assembly import joined
from tests.support.plain_machine import Target, as_data, as_text
from tests.support.random_machines import BRIEF, random_machine
from tests.support.random_repeats import random_repeated

OF_ONE = ("positions", "walks", "tools", "fluids", "tasks", "first", "parts", "repeat")


def random_included(seed: int, size: int = 2) -> tuple[dict[str, str], str, list[Target]]:
    """The files of a machine, ``machine.yaml`` among them, all of it as one plain text, and targets."""
    rng = random.Random(f"include {seed}")
    files = {"inner.yaml": _assembly(rng, seed * 7 + 1, size, repeats=seed % 3 == 1)}
    if seed % 4 == 3:
        outer = _assembly(rng, seed * 7 + 2, 1, repeats=False)
        outer["include"] = [_include(rng, "inner.yaml", "in", files["inner.yaml"], outer)]
        files["outer.yaml"] = outer
    name = [*files][-1]
    text, targets = random_machine(seed, size)
    if seed % 2:
        text, _, targets = random_repeated(seed, size)
    host = as_data(text)
    mark = "<side>" if "repeat" in host and rng.random() < 0.6 else "two"
    host["include"] = [
        _include(rng, name, prefix, files[name], host)
        for prefix in ("one", f"{mark}-x")[: rng.choice((1, 2, 2))]
    ]
    plain_names = [*joined({**files[name], "parameters": {}}, files.__getitem__)["parts"]]
    chosen = rng.choice([one for one in plain_names if "<" not in one])
    if rng.random() < 0.7:
        host["parts"][f"one-{chosen}"] = {"time": rng.choice(BRIEF), "note": "its own"}
    for part in host["parts"].values():
        if "joints" in part and rng.random() < 0.3:
            part["behind"] = [*_listed(part.get("behind")), f"one-{chosen}"]
    plain = joined(host, files.__getitem__)
    texts = {name: as_text(one) for name, one in (*files.items(), ("machine.yaml", host))}
    return texts, as_text(plain), [*targets, ("off", f"one-{chosen}")]


def _listed(raw: Any) -> list[Any]:
    return raw if isinstance(raw, list) else [] if raw is None else [raw]


def _assembly(rng: random.Random, seed: int, size: int, *, repeats: bool) -> dict[str, Any]:
    """A random machine as an assembly with parameters."""
    text = random_repeated(seed, size)[0] if repeats else random_machine(seed, size, torques=seed % 2 == 1)[0]
    machine = as_data(text)
    found: dict[str, Any] = {"assembly": f"Invented, number {seed}", "version": 1, "parameters": {}}
    found |= {key: machine[key] for key in OF_ONE if key in machine}
    part = rng.choice([*found["parts"].values()])
    joint = rng.choice([*part["joints"].values()])
    joint["time"] = "<t>"
    found["parameters"]["t"] = {"is": "time", "default": "10 s", "range": "1 to 60 s"}
    found["parameters"]["way"] = {"is": "needs", "default": "none"}
    part["behind"] = [*_listed(part.get("behind")), "<way>"]
    if rng.random() < 0.6:
        found["parameters"]["job"] = {"is": "task", "default": "none"}
        part["needs"] = [*_listed(part.get("needs")), "<job>"]
    if rng.random() < 0.6:
        found["parameters"]["spot"] = {"is": "position"}
        rng.choice([*found["parts"].values()])["from"] = "<spot>"
    return found


def _include(
    rng: random.Random, name: str, prefix: str, assembly: dict[str, Any], host: dict[str, Any]
) -> dict[str, Any]:
    """An include of it in ``host``, with a value for each parameter that wants one, and some for others."""
    stands = [one for one in host["positions"] if "<" not in one]
    parts = [one for one in host["parts"] if "<" not in one]
    found: dict[str, Any] = {"assembly": name, "as": prefix, "with": {}}
    if rng.random() < 0.5:
        found["where"] = "over there"
    if rng.random() < 0.4:
        found["at"] = rng.choice(stands)
    elif rng.random() < 0.6:
        found["at"] = {spot: rng.choice(stands) for spot in assembly["positions"] if rng.random() < 0.6}
    if rng.random() < 0.5:
        found["tools"] = {"long-bar": "13"}
    if rng.random() < 0.5:
        found["with"]["t"] = "25 s"
    if parts and rng.random() < 0.6:
        two = [{"any": [rng.choice(parts), {rng.choice(parts): "off"}]}]
        found["with"]["way"] = rng.choice((rng.choice(parts), [rng.choice(parts)], two))
    tasks = [one for one, about in host.get("tasks", {}).items() if "<" not in one and "only" not in about]
    if "job" in assembly["parameters"] and tasks and rng.random() < 0.7:
        found["with"]["job"] = rng.choice(tasks)
    if "spot" in assembly["parameters"]:
        found["with"]["spot"] = rng.choice(stands)
    if "repeat" not in assembly and rng.random() < 0.4:
        part = rng.choice([*assembly["parts"]])
        joint = rng.choice([*assembly["parts"][part]["joints"]])
        found["without"] = [rng.choice((part, f"{part}/{joint}"))]
        if len(assembly["parts"]) == 1:
            found["without"] = [f"{part}/{joint}"]
    return found
