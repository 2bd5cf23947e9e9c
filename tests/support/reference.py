"""The true minimum by exhaustive search: every choice of operations, every order, without a single shortcut.

For each set of operations that could make a plan, a dynamic programme runs over what is done, the tool in
hand and the position (Held and Karp, 1962). A plan holds only what the target needs, so a finished state
counts only when no operation could have been left out: the state remembers for which of them that was seen.
For small machines only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from pathlib import Path

from tests.support.plain_machine import Clause, Machine, Target, Tool, goal, load_machine
from tests.support.plain_rules import (
    cracks_called,
    following_from,
    joined,
    orderings,
    own_seconds,
    put_down,
    steps_of,
    tool_seconds,
)

COUNTS = {"tool-changes": "tool_change", "reach-arounds": "reach_around"}
State = tuple[int, Tool, str | None, int]  # done, tool, position, operations seen to be needed


@dataclass(frozen=True)
class Best:
    """The best order, what it takes, and how often it does what was counted first (0 if nothing was)."""

    order: tuple[str, ...]
    seconds: Fraction
    count: int


def best_seconds(source: Machine | Path | str, targets: list[Target]) -> Fraction | None:
    """The least time, or None where no order does it."""
    best = best_plan(source, targets)
    return best.seconds if best else None


def best_count_then_seconds(
    source: Machine | Path | str, targets: list[Target], what: str
) -> tuple[int, Fraction] | None:
    """The fewest `tool-changes` or `reach-arounds`, and the least time among the plans with so few."""
    best = best_plan(source, targets, what)
    return (best.count, best.seconds) if best else None


def best_plan(source: Machine | Path | str, targets: list[Target], what: str | None = None) -> Best | None:
    """The best order of the best choice of operations."""
    machine = source if isinstance(source, Machine) else load_machine(source)
    asked = goal(machine, targets)
    prices = _Prices(machine, what)
    best: tuple[int, list[str]] | None = None
    for chosen in sorted(choices(machine, asked), key=lambda c: (prices.work(c), sorted(c))):
        limit = best[0] if best else None
        best = _cheapest_order(machine, chosen, asked, prices, limit) or best
    if best is None:
        return None
    steps = steps_of(machine, best[1])
    seconds = sum((step.seconds + step.change_seconds for step in steps), Fraction(0))
    return Best(tuple(best[1]), seconds, sum(getattr(step, COUNTS[what]) for step in steps) if what else 0)


def choices(machine: Machine, asked: Sequence[Clause]) -> Iterator[frozenset[str]]:
    """Every set of operations in which something asks for each, and no need is left open."""

    def grow(chosen: frozenset[str], refused: frozenset[str]) -> Iterator[frozenset[str]]:
        while True:
            wanted = [*asked, *(clause for name in chosen for clause in machine.operations[name].asks)]
            left = [clause - refused for clause in wanted]
            if not all(left):
                return
            forced = {name for clause in left if len(clause) == 1 for name in clause} - chosen
            if not forced:
                break
            chosen |= forced
        also = joined(machine, chosen)
        also |= set(machine.first) if chosen else set()
        if not chosen >= also:
            if not also & refused:
                yield from grow(chosen | also, refused)
            return
        open_names = sorted(set().union(*left) - chosen) if left else []
        if not open_names:
            chosen |= cracks_called(machine, chosen)
            yield chosen | put_down(machine, chosen)
            return
        yield from grow(chosen | {open_names[0]}, refused)
        yield from grow(chosen, refused | {open_names[0]})

    return grow(frozenset(), frozenset())


class _Prices:
    """Whole numbers for all times; one of what is counted first outweighs any time."""

    def __init__(self, machine: Machine, what: str | None) -> None:
        self.machine, self.what = machine, what
        times = [op.seconds / 3 for op in machine.operations.values()]
        times += [*machine.pace.values(), *machine.ways.values()]
        self.scale = lcm(*(time.denominator for time in times))
        longest = sum(machine.pace.values()) + max(machine.ways.values())
        most = sum(op.seconds for op in machine.operations.values()) + longest * len(machine.operations)
        self.heavy = self._whole(most) + 1

    def _whole(self, time: Fraction) -> int:
        whole = time * self.scale
        assert whole.denominator == 1
        return whole.numerator

    def work(self, chosen: frozenset[str]) -> int:
        return sum(self._whole(own_seconds(self.machine, name, chosen)) for name in chosen)

    def change(self, tool: Tool, position: str | None, name: str) -> int:
        op = self.machine.operations[name]
        here = op.position if position is None else position
        moves = here != op.position
        price = self._whole(tool_seconds(self.machine, tool, op.tool) + self.machine.ways[here, op.position])
        counted = {"tool-changes": op.tool not in ("hand", tool), "reach-arounds": moves, None: False}[
            self.what
        ]
        return price + (self.heavy if counted else 0)


def _met(clauses: Sequence[Clause], names: frozenset[str]) -> bool:
    return all(clause & names for clause in clauses)


def _droppable(machine: Machine, chosen: frozenset[str], asked: Sequence[Clause]) -> list[frozenset[str]]:
    """What might be left out together in some order: the rest still asks for nothing that is missing."""
    groups = []
    for name in sorted(chosen):
        gone = frozenset(following_from(machine, chosen, name, asked))
        rest = chosen - gone
        needs = [clause for kept in rest for clause in machine.operations[kept].asks]
        cracks = {kept for kept in rest if kept.startswith("crack ")}
        renewed = joined(machine, rest)
        if (
            _met([*asked, *needs], rest)
            and renewed <= rest
            and cracks == cracks_called(machine, rest)
            and put_down(machine, rest) == {kept for kept in rest if kept.startswith("restore ")}
            and gone not in groups
        ):
            groups.append(gone)
    return groups


def _cheapest_order(
    machine: Machine, chosen: frozenset[str], asked: Sequence[Clause], prices: _Prices, limit: int | None
) -> tuple[int, list[str]] | None:
    """The cheapest order of exactly these operations in which none is superfluous, if it beats the limit."""
    names = sorted(chosen)
    bit = {name: 1 << i for i, name in enumerate(names)}

    def mask(some: frozenset[str]) -> int:
        return sum(bit[name] for name in some & chosen)

    needs = {name: [mask(clause) for clause in machine.operations[name].asks] for name in names}
    for earlier, later in orderings(machine, chosen):
        needs[later].append(bit[earlier])
    groups = [mask(gone) for gone in _droppable(machine, chosen, asked)]
    every = (1 << len(groups)) - 1

    def seen(name: str, done: int) -> int:
        """The groups without which this operation could not have been done now."""
        return sum(
            1 << g
            for g, gone in enumerate(groups)
            if not gone & bit[name]
            and any(not clause & done & ~gone for clause in map(mask, machine.operations[name].asks))
        )

    work = prices.work(chosen)
    layer: dict[State, int] = {(0, "hand", machine.start, 0): work}
    came: dict[State, tuple[State, str]] = {}
    for _ in names:
        following: dict[State, int] = {}
        ready: dict[int, list[tuple[str, int]]] = {}
        for state, cost in layer.items():
            done, tool, position, witnessed = state
            if done not in ready:
                free = [n for n in names if not done & bit[n] and all(clause & done for clause in needs[n])]
                ready[done] = [(n, seen(n, done)) for n in free]
            for name, fresh in ready[done]:
                op = machine.operations[name]
                then = (done | bit[name], op.tool, op.position, witnessed | fresh)
                price = cost + prices.change(tool, position, name)
                if (limit is None or price < limit) and price < following.get(then, price + 1):
                    following[then] = price
                    came[then] = (state, name)
        layer = following
    finished = [(cost, state) for state, cost in layer.items() if state[3] == every]
    if not finished:
        return None
    cost, state = min(finished, key=lambda pair: pair[0])
    if limit is not None and cost >= limit:
        return None
    order = []
    while state in came:
        state, name = came[state]
        order.append(name)
    return cost, order[::-1]
