"""A job cut into sittings at the places where a machine may best be left.

The order of a plan stays as it is; only where to stop is chosen. The cost of a way of cutting is, in seconds,

    over all sittings:  sitting_seconds + over_factor * (length - wished), where it is longer than wished
    over all stops:     what is left loose there (``stops``), and getting back to the place, tool in hand

and is minimised exactly, by dynamic programming over the stops (Bellman's principle: what comes after a stop
does not depend on how it was reached). A stop that is forbidden is never taken. Of equal ways of cutting the
one with the earlier stops is taken. The weights are in ``data/sittings.toml``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise

from sequencer.errors import SequencerError
from sequencer.graph.fastening import TORQUE_DRIVE
from sequencer.plan.hours import Hours, draws, hours_in
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
        hours: How long it really takes.
        chance: Of ending within the wished length, setting out and clearing up counted in, from 0 to 1; None
            where none was wished.
    """

    number: int
    steps: tuple[Step, ...]
    seconds: Fraction
    stop: Stop
    over: Fraction = Fraction(0)
    hours: Hours = Hours(0, 0, 0)  # noqa: RUF009 - frozen
    chance: float | None = None

    @property
    def first(self) -> int:
        """The number of its first step."""
        return self.steps[0].number

    @property
    def last(self) -> int:
        """The number of its last step."""
        return self.steps[-1].number


def sittings_of_lengths(plan: Plan, lengths: Sequence[Fraction], before: int = 0) -> tuple[Sitting, ...]:
    """Cut a plan into sittings of about these lengths at most, at the least cost.

    Args:
        plan: The plan.
        lengths: Seconds for each sitting of the job in turn; the last holds for all that follow.
        before: So many sittings of the job came before this plan.

    Raises:
        SequencerError: A length is not more than nothing.
    """
    if min(lengths) <= 0:
        raise SequencerError("a sitting has to take some time", "give it as 90 min, or 2 h")
    return _cut(plan, (*lengths[before:], lengths[-1]), None)


def sittings_by_number(plan: Plan, number: int) -> tuple[Sitting, ...]:
    """Cut a plan into ``number`` sittings of about the same length; fewer where there are too few places.

    Raises:
        SequencerError: The number is none that a job can be cut into.
    """
    if not 1 <= number <= MOST:
        raise SequencerError(f"a job can't be cut into {number} sittings", f"ask for 1 to {MOST}")
    number = min(number, max(1, len(plan.steps)))
    for wanted in range(number, 0, -1):
        found = _cut(plan, (plan.totals.seconds / wanted,), wanted)
        if found or not plan.steps:
            return found
    raise AssertionError("the whole plan is one sitting")


def _cut(plan: Plan, lengths: Sequence[Fraction], number: int | None) -> tuple[Sitting, ...]:
    """The cheapest way of cutting, into ``number`` sittings or as many as are best; empty if none is."""
    if not plan.steps:
        return ()
    at, cost = stops(plan), _Cost(plan, lengths)
    last = len(plan.steps)
    weights = [stop.weight if stop.after < last else Fraction(0) for stop in at]
    ends = [j for j in range(1, last + 1) if j == last or not at[j].forbidden]
    cuts = _cheapest(cost, weights, ends, number)
    drawn = draws(plan.machine, plan.steps, begun=plan.earlier).steps
    return tuple(
        Sitting(
            k,
            plan.steps[i:j],
            cost.seconds(i, j),
            at[j],
            cost.over(i, j, k),
            hours_in(taken),
            None if number else float((taken <= float(cost.wished(k) - sitting_seconds())).mean()),
        )
        for k, (i, j) in enumerate(pairwise(cuts), start=1)
        for taken in [drawn[i:j].sum(axis=0) + float(cost.again[i])]
    )


def _cheapest(cost: _Cost, weights: Sequence[Fraction], ends: Sequence[int], number: int | None) -> list[int]:
    """The stops of the cheapest way, the start before them; empty where no way has ``number`` sittings.

    ``rows[k][j]`` is the cheapest way of the first ``j`` steps in ``k`` sittings, where its last one begins,
    and the row of the way up to there. Without a number the last row stands for ``k`` sittings and more:
    they all have the same wished length.
    """
    count = number or len(cost.lengths)
    rows: list[dict[int, tuple[Fraction, int, int]]] = [{} for _ in range(count + 1)]
    rows[0][0] = (Fraction(0), -1, -1)
    for j in ends:
        for k in range(1, count + 1):
            from_rows = (k - 1, k) if number is None and k == count else (k - 1,)
            ways = [
                (paid + cost.of(i, j, k) + weights[j], i, row)
                for row in from_rows
                for i, (paid, _, _) in rows[row].items()
                if i < j
            ]
            if ways:
                rows[k][j] = min(ways)
    whole = ends[-1]
    complete = [(rows[k][whole][0], k) for k in range(1, count + 1) if whole in rows[k]]
    if number is not None:
        complete = [one for one in complete if one[1] == number]
    cuts, row = ([whole], min(complete)[1]) if complete else ([], 0)
    while row > 0:
        _, begin, row = rows[row][cuts[-1]]
        cuts.append(begin)
    return cuts[::-1]


class _Cost:
    """What the ``k``-th sitting takes and costs, with the steps after the ``i``-th up to the ``j``-th."""

    def __init__(self, plan: Plan, lengths: Sequence[Fraction]) -> None:
        self.lengths = lengths
        self.before = list(
            accumulate((s.seconds + s.change_seconds for s in plan.steps), initial=Fraction(0))
        )
        tools = (op.tool for op in plan.operations)
        drives = {tool: TORQUE_DRIVE for tool in tools if tool.partition("+")[0] == TORQUE_DRIVE}
        changes = Changes.of(plan.machine, drives)
        self.again = [Fraction(0)]
        for step in plan.steps[1:]:
            here = Setup(step.operation.position, step.operation.tool)
            self.again.append(changes.start_seconds(here) - step.change_seconds)

    def seconds(self, i: int, j: int) -> Fraction:
        """How long it takes, from the start with empty hands."""
        return self.before[j] - self.before[i] + self.again[i]

    def of(self, i: int, j: int, k: int) -> Fraction:
        """What it costs, its stop left out."""
        return sitting_seconds() + over_factor() * self.over(i, j, k) + self.again[i]

    def over(self, i: int, j: int, k: int) -> Fraction:
        """By how much it is longer than was wished."""
        return max(Fraction(0), self.seconds(i, j) - self.wished(k))

    def wished(self, k: int) -> Fraction:
        """How long the ``k``-th sitting is to be at the most."""
        return self.lengths[min(k, len(self.lengths)) - 1]
