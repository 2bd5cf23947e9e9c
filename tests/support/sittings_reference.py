"""The best way of doing a small plan in sittings, found by trying every order and every way of cutting it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import numpy as np

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.graph.reverse import way_back
from sequencer.plan.closing.sealing import with_seals
from sequencer.plan.hazards.stops import Places, Verdict, overnight_seconds
from sequencer.plan.hours.hours import draws
from sequencer.plan.order.replay import is_workable
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.plan import Plan, Refit
from sequencer.plan.practice.rules import kept_by


class TooManyError(Exception):
    """There are too many orders to try them all."""


Worth = tuple[Fraction, int, Fraction, int, int]
"""What sittings run over by, how many there are, their seconds, joints left snug, places to be looked at."""


class Reference:
    """A plan, tried out; `lengths` are those of its sittings in seconds."""

    def __init__(self, plan: Plan, lengths: Sequence[Fraction], chance: float) -> None:
        self.plan, self.lengths, self.chance = plan, lengths, chance
        self.graph, self.changes = graph_and_changes(plan)
        self.places, self.known = Places(plan), {}
        self.around = plan.machine.pace.set_up + plan.machine.pace.clear_up
        bare = [replace(step, change_seconds=Fraction(0)) for step in plan.steps]
        drawn = draws(plan.machine, bare, None, plan.earlier)
        fine = np.rint(drawn.steps * 1000).astype(np.int64)
        self.rows = {step.operation.name: row for step, row in zip(plan.steps, fine, strict=True)}
        self.factor = drawn.changes * 1000
        self.seconds = {step.operation.name: step.seconds for step in plan.steps}
        self.taken: dict[tuple[frozenset[str], Fraction], int] = {}

    def orders(self, most: int) -> Iterator[tuple[str, ...]]:
        """Every order of work that the machine, good practice and its beads allow."""
        rules = self.plan.practice.kept if self.plan.practice else ()
        count = 0
        for order in every_order(self.graph, most * 20):
            work = order[::-1] if self.plan.back else order
            if not all(kept_by(rules, order)) or not is_workable(self.graph, order):
                continue
            if any(
                a.startswith("seal ") and (b,) != self.graph.needs[a][0].any_of
                for a, b in pairwise((*work, ""))
            ):
                continue
            count += 1
            if count > most:
                raise TooManyError
            yield work

    def verdict(self, done: frozenset[str]) -> Verdict:
        if done not in self.known:
            self.known[done] = Verdict.of(self.places.left(done))
        return self.known[done]

    def changing(self, run: Sequence[str]) -> Fraction:
        here = [Setup(self.graph.operations[n].position, self.graph.operations[n].tool) for n in run]
        between = sum((self.changes.seconds(a, b) for a, b in pairwise(here)), Fraction(0))
        return self.changes.start_seconds(here[0]) + between

    def sure(self, run: Sequence[str]) -> Fraction:
        """The length that such a sitting ends in as surely as is wished."""
        key = (frozenset(run), self.changing(run))
        if key not in self.taken:
            work = sum(self.rows[name] for name in run)
            taken = np.sort(work + np.rint(self.factor * float(key[1])).astype(np.int64))
            self.taken[key] = int(taken[math.ceil(self.chance * len(taken) - 1e-9) - 1])
        return Fraction(self.taken[key], 1000) + self.around

    def cures(self, start: frozenset[str], run: Sequence[str]) -> bool:
        """Whether something in the run waits for a long cure that began in it."""
        if not isinstance(self.plan, Refit):
            return False
        names = {step.number: step.operation.name for step in self.plan.steps}
        for hold in self.plan.holds:
            part, _, joint = hold.sealed.partition("/")
            joints = [joint] if joint else list(self.plan.machine.parts[part].joints)
            ends = {f"{word} {part}/{name}" for name in joints for word in ("fasten", "tighten")}
            ends = (ends & set(names.values())) | {names.get(hold.after_step, "")}
            if (
                hold.seconds >= overnight_seconds()
                and names.get(hold.before_step) in run
                and not ends <= start
            ):
                return True
        return False

    def ways(self, order: Sequence[str]) -> Iterator[tuple[Worth, Fraction]]:
        """Every way of cutting an order: its worth, and the longest of its sittings."""
        size = len(order)
        stops = [k for k in range(1, size) if self.verdict(frozenset(order[:k])) is not Verdict.UNSAFE]
        for count in range(len(stops) + 1):
            for cuts in combinations(stops, count):
                over, seconds, snug, looks, longest = Fraction(0), Fraction(0), 0, 0, Fraction(0)
                for number, (i, j) in enumerate(pairwise((0, *cuts, size))):
                    run = order[i:j]
                    if self.cures(frozenset(order[:i]), run):
                        break
                    length = self.lengths[min(number, len(self.lengths) - 1)]
                    sure = self.sure(run)
                    longest = max(longest, sure)
                    over += max(Fraction(0), sure - length)
                    seconds += self.changing(run) + sum(self.seconds[name] for name in run)
                    left = self.places.left(order[:j]) if j < size else ()
                    snug += sum(one.left.name == "SNUG" for one in left)
                    looks += j < size and self.verdict(frozenset(order[:j])) is Verdict.LOOK
                else:
                    yield (over, count + 1, seconds, snug, looks), longest

    def best(self, most: int = 400) -> tuple[Worth, Fraction]:
        """The worth of the best way, and the shortest sitting that will do for all.

        Raises:
            TooManyError: There are too many orders.
        """
        found = [way for order in self.orders(most) for way in self.ways(order)]
        return min(worth for worth, _ in found), min(longest for _, longest in found)


def graph_and_changes(plan: Plan) -> tuple[OperationGraph, Changes]:
    names = [op.name for op in plan.operations]
    if not isinstance(plan, Refit):
        return plan.graph.restricted(names), Changes.of(plan.machine)
    back = way_back(plan.teardown.graph, [op.name for op in plan.teardown.operations])
    return with_seals(back, names)[0].graph.restricted(names), Changes.of(plan.machine, back.drives)


def every_order(graph: OperationGraph, most: int) -> Iterator[tuple[str, ...]]:
    """Every order that keeps the needs, in the time of the graph."""
    clauses = rules_as_clauses(graph)
    needs = {
        name: [set(c.any_of) for c in (*graph.needs[name], *clauses.get(name, ()))]
        for name in graph.operations
    }
    left = most

    def onward(order: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        nonlocal left
        if len(order) == len(needs):
            yield order
        for name, waits in needs.items():
            if name not in order and all(not clause.isdisjoint(order) for clause in waits):
                left -= 1
                if left < 0:
                    raise TooManyError
                yield from onward((*order, name))

    yield from onward(())
