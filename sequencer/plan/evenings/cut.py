"""A given order cut into sittings at the places where the machine may be left: the best cuts, exactly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from sequencer.plan.evenings.worth import NOTHING, Worth

if TYPE_CHECKING:
    from sequencer.plan.evenings.ground import Ground


@dataclass(frozen=True)
class Division:
    """An order with its sittings: the steps of each, by their places in the plan."""

    worth: Worth
    runs: tuple[tuple[int, ...], ...]

    @property
    def order(self) -> tuple[int, ...]:
        """All steps."""
        return tuple(step for run in self.runs for step in run)

    @classmethod
    def of(cls, ground: Ground, runs: Sequence[tuple[int, ...]]) -> Division:
        """The division in just these sittings."""
        worth, done = NOTHING, 0
        for number, run in enumerate(runs, start=1):
            for step in run:
                done |= 1 << step
            worth += ground.worth(run, ground.seconds(run), number, done)
        return cls(worth, tuple(runs))


def divided(ground: Ground, order: Sequence[int]) -> Division:
    """The best way of cutting an order, by dynamic programming over its places to stop.

    Which sitting it is counts only as far as lengths differ. Of two equal ways the one that stops earlier.
    Where a step waits for a cure, and the machine can't be left anywhere since its bead, work stops all the
    same: the order is given.
    """
    done = [0, *accumulate((1 << step for step in order), int.__or__)]
    ends = [place for place in range(1, len(order) + 1) if ground.may_stop(done[place])]
    found = _cuts(ground, order, done, ends)
    if found is None:
        waits = [p for p in range(1, len(order)) if not ground.cured(0) >> order[p] & 1]
        found = _cuts(ground, order, done, sorted({*ends, *waits}))
    assert found is not None
    return found


def _cuts(ground: Ground, order: Sequence[int], done: Sequence[int], ends: Sequence[int]) -> Division | None:
    """The best cuts at some of these ends; None where a step waits for a cure beyond every one of them."""
    kinds = len(ground.load.wish.lengths)
    best: dict[tuple[int, int], tuple[Worth, tuple[int, int] | None]] = {(0, 0): (NOTHING, None)}
    for row in range(kinds + 1):
        for begin in (0, *ends):
            if (begin, row) not in best or begin == len(order):
                continue
            number, paid = min(row + 1, kinds), best[begin, row][0]
            for end, worth in _from(ground, order, done, begin, ends, number):
                key, found = (end, number), paid + worth
                if key not in best or found < best[key][0]:
                    best[key] = (found, (begin, row))
    whole = [found for (end, _), found in best.items() if end == len(order)]
    if not whole:
        return None
    worth, before = min(whole)
    cuts = [len(order)]
    while before is not None:
        cuts.append(before[0])
        before = best[before][1]
    cuts.reverse()
    return Division(worth, tuple(tuple(order[i:j]) for i, j in pairwise(cuts)))


def _from(
    ground: Ground, order: Sequence[int], done: Sequence[int], begin: int, ends: Sequence[int], number: int
) -> Iterator[tuple[int, Worth]]:
    """Each sitting that begins there, with what it is worth."""
    load, cured = ground.load, ground.cured(done[begin])
    work, changes, last = load.rows[order[begin]] * 0, ground.start(order[begin]), begin
    seconds = Fraction(0)
    for end in (end for end in ends if end > begin):
        for place in range(last, end):
            step = order[place]
            if not cured >> step & 1:
                return
            work = work + load.rows[step]
            seconds += ground.own(step)
            if place > begin:
                changes += ground.change(order[place - 1], step)
        last = end
        taken = load.with_changes(work, changes)
        over = Fraction(0) if load.within(taken, number) else load.sure(taken) - load.wish.length(number)
        yield end, Worth(over, 1, seconds + changes, *ground.behind(done[end]))
