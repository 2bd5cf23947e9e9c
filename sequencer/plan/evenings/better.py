"""A division bettered step by step: runs of steps moved to where they save a sitting, or time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from sequencer.plan.evenings.cut import Division, divided

if TYPE_CHECKING:
    from sequencer.plan.evenings.ground import Ground

MOST_TRIALS = 120
"""Orders that are cut anew: a second or two."""

NEAR = 3
"""Places beyond those of its own set-up that a run of steps is tried at."""


def bettered(ground: Ground, division: Division) -> Division:
    """The same or a better one."""
    left = MOST_TRIALS
    better = True
    while better and left > 0:
        better = False
        for trial in _trials(ground, division.order):
            if not ground.possible.allows(trial):
                continue
            left -= 1
            found = divided(ground, trial)
            if found.worth < division.worth:
                division, better = found, True
                break
            if left <= 0:
                break
    return division


def _trials(ground: Ground, order: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """A station's steps moved to another with the same tool at the same place: it saves a change or two."""
    like = ground.like
    cuts = [0, *(place for place, (a, b) in enumerate(pairwise(order), 1) if like[a] != like[b]), len(order)]
    runs = list(pairwise(cuts))
    for first, (i, j) in enumerate(runs):
        for second, (k, l) in enumerate(runs):
            if abs(first - second) > 1 and like[order[i]] == like[order[k]]:
                moved = order[i:j]
                if second > first:
                    yield (*order[:i], *order[j:k], *moved, *order[k:])
                else:
                    yield (*order[:l], *moved, *order[l:i], *order[j:])
