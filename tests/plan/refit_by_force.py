"""The least that a way back can take, by trying every choice of states and every order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import combinations

from tests.support.plain_machine import Tool
from tests.support.plain_rules import tool_seconds
from tests.support.refit_checker import in_hand, seconds_of, with_wrenches
from tests.support.refit_state import Aftermath

Cost = tuple[int, Fraction]  # what is counted first, and the time


def choices(after: Aftermath) -> Iterator[tuple[str, ...]]:
    """Every set of steps that puts all back: those that must be, and any of the states on the way."""
    states = sorted(n for n in after.allowed - after.required if n.startswith(("seat ", "move-back ")))
    tightens = sorted(n for n in after.allowed - after.required if n.startswith("tighten "))
    for number in range(len(states) + 1):
        for some in combinations(states, number):
            chosen = after.required | set(some)
            kept = {n for n in tightens if f"seat {after.part_of(n)}" in chosen}
            names = sorted(chosen | kept)
            if not after.choice_faults(names):
                yield tuple(names)


def least(after: Aftermath, told: Mapping[str, Fraction], what: str | None = None) -> Cost | None:
    """The least count of `what` and the least time with it; None where no order works.

    ``told`` has the times that the format page leaves to the program. Held and Karp's (1962) recursion over
    what is done, the tool in hand and the position, with nothing left out.
    """
    found = [cost for names in choices(after) if (cost := _least_order(after, names, told, what))]
    return min(found, default=None)


def _least_order(
    after: Aftermath, names: tuple[str, ...], told: Mapping[str, Fraction], what: str | None
) -> Cost | None:
    machine = with_wrenches(after)
    own = [seconds_of(after, name, names) for name in names]
    work = sum((told[n] if s is None else s for n, s in zip(names, own, strict=True)), Fraction(0))
    setups = [(in_hand(after, name), after.position_of(name)) for name in names]
    layer: dict[tuple[int, Tool, str | None], Cost] = {(0, "hand", machine.start): (0, work)}
    for _ in names:
        following: dict[tuple[int, Tool, str | None], Cost] = {}
        free: dict[int, list[int]] = {}
        for (done, tool, position), (count, time) in layer.items():
            if done not in free:
                left = {n for i, n in enumerate(names) if not done >> i & 1}
                free[done] = [i for i, n in enumerate(names) if n in left and not after.step_faults(n, left)]
            for i in free[done]:
                new, here = setups[i]
                start = here if position is None else position
                counted = {"tool-changes": new not in ("hand", tool), "reach-arounds": start != here}
                cost = (
                    count + counted.get(what or "", False),
                    time + tool_seconds(machine, tool, new) + machine.ways[start, here],
                )
                state = (done | 1 << i, new, here)
                following[state] = min(cost, following.get(state, cost))
        layer = following
    return min(layer.values(), default=None)
