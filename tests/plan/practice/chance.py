"""What machines by chance get besides, for the rules of good practice."""

from __future__ import annotations

import io
import random
from typing import Any

from ruamel.yaml import YAML


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


def with_helpers(text: str, seed: int) -> str:
    """The machine with helpers."""
    yaml = YAML(typ="safe", pure=True)
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment] # the first position is the default
    yaml.representer.ignore_aliases = lambda *_: True
    machine = yaml.load(text)
    add_helpers(random.Random(f"helpers {seed}"), machine)
    out = io.StringIO()
    yaml.dump(machine, out)
    return out.getvalue()
