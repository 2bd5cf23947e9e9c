"""The format page's `when` of a torque, read anew: the steps that it waits for, and what leads to them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from tests.support.plain_machine import carriers


def awaited(text: dict[str, Any], joint: Mapping[str, Any], allowed: Collection[str]) -> set[str]:
    """The steps of the way back that bring back what a torque waits for."""
    torque = joint.get("torque")
    found: set[str] = set()
    for name in (torque.get("when") or []) if isinstance(torque, dict) else []:
        if "/" in name:
            kinds = ["fasten", "tighten"]
        elif name in text["parts"]:
            kinds = ["fit", "move-back", "seat"]
            rides = [f"fit {other}" for other in carriers(text, name)]
            if f"fit {name}" not in allowed:
                found |= {*[one for one in rides if one in allowed][:1]}
        elif name in (text.get("fluids") or {}):
            kinds = ["fill"]
        else:
            home = (text["tasks"][name] or {}).get("only") == "back"
            kinds = ["task"] if home else ["restore"]
        found |= {f"{kind} {name}" for kind in kinds} & set(allowed)
    return found


def leading_to(
    steps: Iterable[str], earlier: Mapping[str, set[str]], covering: Callable[[str], set[str]]
) -> set[str]:
    """These steps and all that must come before one of them; ``covering`` says what goes on over a step."""
    found = set(steps)
    while True:
        more = {n for one in found for n in earlier.get(one, ())}
        more |= {n for n in earlier if covering(n) & found}
        if more <= found:
            return found
        found |= more
