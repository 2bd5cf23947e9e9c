"""The least number of sittings, then the least time, proven: for plans of few steps.

A sitting is a path through sets of steps, from one where the machine may be left to another. What it takes
depends on the set of its steps and the changes between them, so that of all paths to a set that end with the
same tool at the same place the one with the fewest seconds of changes is worth keeping (Bellman's principle).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from sequencer.plan.evenings.worth import NOTHING, ONE_MORE, Worth

if TYPE_CHECKING:
    from sequencer.plan.evenings.ground import Ground

State = tuple[int, int]
"""What is done, as bits, and what was last: −1 for nothing."""

Steps = tuple[int, ...]
"""In their order, by their places in the plan."""

MOST_STATES = 20_000
"""States tried before a proof is given up: seconds of work."""


class TooManyStatesError(Exception):
    """The plan is too large to be proven so."""


@dataclass(frozen=True)
class _Arrival:
    """The best way to a place to stop: what it is worth, and from where, in which order, it was reached."""

    worth: Worth
    before: tuple[int, State] | None
    order: Steps


class Exact:
    """The search; ``over``: sittings may run over, at the least of that first."""

    def __init__(self, ground: Ground, most: int = MOST_STATES) -> None:
        self._ground = ground
        self._left = most

    def best(self, *, over: bool = False) -> tuple[Steps, ...] | None:
        """The steps of each sitting in their order; None where no order has places enough to stop.

        Raises:
            TooManyStatesError: There are too many sets of steps.
        """
        ground = self._ground
        kinds = len(ground.load.wish.lengths)
        arrivals: dict[tuple[int, State], _Arrival] = {(0, (0, -1)): _Arrival(NOTHING, None, ())}
        waiting: dict[int, list[tuple[int, State]]] = {0: [(0, (0, -1))]}
        whole: Worth | None = None
        for size in range(ground.size):
            for at in waiting.pop(size, ()):
                sittings, start = at
                here = arrivals[at]
                if whole is not None and here.worth + ONE_MORE > whole:
                    continue  # another sitting at least is to come
                number = min(sittings + 1, kinds)
                for end, worth, order in self._sitting(start, sittings + 1, over=over):
                    key = (min(kinds, number), end)
                    found = _Arrival(here.worth + worth, at, order)
                    known = arrivals.get(key)
                    if known is None:
                        waiting.setdefault(end[0].bit_count(), []).append(key)
                    if known is None or found.worth < known.worth:
                        arrivals[key] = found
                        if end[0] == ground.all:
                            whole = found.worth if whole is None else min(whole, found.worth)
        ends = [(found.worth, key) for key, found in arrivals.items() if key[1][0] == ground.all]
        if not ends:
            return None
        last = arrivals[min(ends)[1]]
        runs = []
        while last.before is not None:
            runs.append(last.order)
            last = arrivals[last.before]
        return tuple(runs[::-1])

    def shortest(self) -> Fraction:
        """The shortest length that will do for every sitting, so that each ends where it may be left.

        Raises:
            TooManyStatesError: There are too many sets of steps.
        """
        ground = self._ground
        least: dict[State, Fraction] = {(0, -1): Fraction(0)}
        waiting: dict[int, list[State]] = {0: [(0, -1)]}
        whole: Fraction | None = None
        for size in range(ground.size):
            for start in waiting.pop(size, ()):
                if whole is not None and least[start] >= whole:
                    continue
                for end, _, order in self._sitting(start, 1, over=True):
                    longest = max(least[start], ground.sure(order))
                    if end not in least:
                        waiting.setdefault(end[0].bit_count(), []).append(end)
                    least[end] = min(least.get(end, longest), longest)
                    if end[0] == ground.all:
                        whole = least[end] if whole is None else min(whole, least[end])
        assert whole is not None
        return whole

    def _sitting(self, start: State, number: int, *, over: bool) -> Iterator[tuple[State, Worth, Steps]]:
        """Every set where a sitting from ``start`` may end, with the cheapest order of its steps."""
        ground = self._ground
        ways: dict[State, tuple[Fraction, Steps]] = {start: (Fraction(0), ())}
        layer: dict[State, None] = {start: None}
        while layer:
            following: dict[State, None] = {}
            for state in layer:
                done, last = state
                self._left -= 1
                if self._left < 0:
                    raise TooManyStatesError
                paid, order = ways[state]
                for step in ground.next(done, last, start[0]):
                    cost = paid + (ground.change(order[-1], step) if order else ground.start(step))
                    then = (done | 1 << step, step if ground.stays else ground.like[step])
                    if then in ways and ways[then][0] <= cost:
                        continue
                    if not over and not ground.within((*order, step), cost, number):
                        continue
                    ways[then] = (cost, (*order, step))
                    following[then] = None
            for state in following:
                if ground.may_stop(state[0]):
                    cost, order = ways[state]
                    yield state, ground.worth(order, cost, number, state[0]), order
            layer = following
