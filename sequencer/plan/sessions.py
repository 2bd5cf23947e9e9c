"""A job cut into sittings at the places where a machine may best be left.

The order of a plan stays as it is; only where to stop is chosen. The cost of a way of cutting is, in seconds,

    over all sittings:  sitting_seconds + over_factor * (length - wished), where it is longer than wished
    over all stops:     what is left loose there (``stops``), and getting back to the place, tool in hand

and is minimised exactly, by dynamic programming over the stops (Bellman's principle: what comes after a stop
does not depend on how it was reached). A stop that is forbidden is never taken. Of equal ways of cutting the
one with the earlier stops is taken. The weights are in ``data/sessions.toml``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.graph.reverse import TORQUE_DRIVE
from sequencer.plan.plan import Plan, Step
from sequencer.plan.setups import Changes, Setup
from sequencer.plan.stops import Stop, over_factor, sitting_seconds, stops

MOST = 50
"""Sittings that can be asked for; nobody leaves a machine apart for longer."""


@dataclass(frozen=True)
class Sitting:
    """A run of steps that is done in one go.

    Attributes:
        number: Counts from 1 through the plan.
        steps: Its steps.
        seconds: All of it, getting to the first step from the start with empty hands included.
        stop: In what state it leaves the machine; the last one leaves it as the plan does.
        over: Seconds by which it is longer than was wished, since no better place to stop comes sooner.
    """

    number: int
    steps: tuple[Step, ...]
    seconds: Fraction
    stop: Stop
    over: Fraction = Fraction(0)

    @property
    def first(self) -> int:
        """The number of its first step."""
        return self.steps[0].number

    @property
    def last(self) -> int:
        """The number of its last step."""
        return self.steps[-1].number


def sittings_of_length(plan: Plan, length: Fraction) -> tuple[Sitting, ...]:
    """Cut a plan into sittings of about ``length`` seconds at most, at the least cost.

    Raises:
        SequencerError: The length is not more than nothing.
    """
    if length <= 0:
        raise SequencerError("a sitting has to take some time", "give it as 90 min, or 2 h")
    return _cut(plan, length, None)


def sittings_by_number(plan: Plan, number: int) -> tuple[Sitting, ...]:
    """Cut a plan into ``number`` sittings of about the same length; fewer where there are too few places.

    Raises:
        SequencerError: The number is none that a job can be cut into.
    """
    if not 1 <= number <= MOST:
        raise SequencerError(f"a job can't be cut into {number} sittings", f"ask for 1 to {MOST}")
    number = min(number, max(1, len(plan.steps)))
    for wanted in range(number, 0, -1):
        found = _cut(plan, plan.totals.seconds / wanted, wanted)
        if found or not plan.steps:
            return found
    raise AssertionError("the whole plan is one sitting")


def _cut(plan: Plan, length: Fraction, number: int | None) -> tuple[Sitting, ...]:
    """The cheapest way of cutting, into ``number`` sittings or as many as are best; empty if none is."""
    if not plan.steps:
        return ()
    at, cost = stops(plan), _Cost(plan, length)
    last = len(plan.steps)
    weights = [stop.weight if stop.after < last else Fraction(0) for stop in at]
    ends = [j for j in range(1, last + 1) if j == last or not at[j].forbidden]
    cuts = _few(cost, weights, ends) if number is None else _exactly(cost, weights, ends, number)
    return tuple(
        Sitting(
            count, plan.steps[i:j], cost.seconds(i, j), at[j], max(Fraction(0), cost.seconds(i, j) - length)
        )
        for count, (i, j) in enumerate(pairwise(cuts), start=1)
    )


def _few(cost: _Cost, weights: Sequence[Fraction], ends: Sequence[int]) -> list[int]:
    """The stops of the cheapest way, after the start: ``best[j]`` is the cheapest of ``j`` steps."""
    best: dict[int, tuple[Fraction, int]] = {0: (Fraction(0), -1)}
    for j in ends:
        best[j] = min((so_far + cost.of(i, j) + weights[j], i) for i, (so_far, _) in best.items())
    cuts = [ends[-1]]
    while cuts[-1] > 0:
        cuts.append(best[cuts[-1]][1])
    return cuts[::-1]


def _exactly(cost: _Cost, weights: Sequence[Fraction], ends: Sequence[int], number: int) -> list[int]:
    """The same for so many sittings: ``rows[k][j]`` is the cheapest of ``j`` steps in ``k`` sittings."""
    rows: list[dict[int, tuple[Fraction, int]]] = [{0: (Fraction(0), -1)}]
    for _ in range(number):
        row = {}
        for j in ends:
            ways = [(so_far + cost.of(i, j) + weights[j], i) for i, (so_far, _) in rows[-1].items() if i < j]
            if ways:
                row[j] = min(ways)
        rows.append(row)
    if ends[-1] not in rows[-1]:
        return []
    cuts = [ends[-1]]
    for row in reversed(rows[1:]):
        cuts.append(row[cuts[-1]][1])
    return cuts[::-1]


class _Cost:
    """What a sitting of the steps after the ``i``-th up to the ``j``-th takes, and what it costs."""

    def __init__(self, plan: Plan, length: Fraction) -> None:
        self.length = length
        self.before = list(
            accumulate((s.seconds + s.change_seconds for s in plan.steps), initial=Fraction(0))
        )
        drives = {op.tool: TORQUE_DRIVE for op in plan.operations if op.kind is Kind.TORQUE}
        changes = Changes.of(plan.machine, drives)
        self.again = [Fraction(0)]
        for step in plan.steps[1:]:
            here = Setup(step.operation.position, step.operation.tool)
            self.again.append(changes.start_seconds(here) - step.change_seconds)

    def seconds(self, i: int, j: int) -> Fraction:
        """How long it takes, from the start with empty hands."""
        return self.before[j] - self.before[i] + self.again[i]

    def of(self, i: int, j: int) -> Fraction:
        """What it costs, its stop left out."""
        return sitting_seconds() + over_factor() * self.over(i, j) + self.again[i]

    def over(self, i: int, j: int) -> Fraction:
        """By how much it is longer than was wished."""
        return max(Fraction(0), self.seconds(i, j) - self.length)
