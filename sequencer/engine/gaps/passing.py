"""Moves that pass something by which would cost no less later on, so that they need not be tried.

Let a state be in set-up a, and all that is undone in set-up x be at hand: who goes there does it all. Take a
best way on that goes to b first. With the visits of x in front of b it pays the detour c(a, x) + c(x, b) −
c(a, b), and saves at least the least detour by way of x between two set-ups of what is undone. Where that is
no less, going to b first need not be tried: x *strikes* it. A detour that costs nothing strikes whatever can
be done on it.

The way keeps the rules if what is moved forward is *movable*. It takes no part in a ``While``, and leads past
no stay. A stay that waits for it is one about leaving x, so that the way was bound by it already when it left
x later on; and what it forbids was forbidden all the time before, by a stay that lasts until the operation
itself is done. No stay is about leaving x that is not about leaving a as well; so what could follow a can
follow x.

What can be gone to in this way is struck only by what comes before it in the sequence of set-ups. So of the
best ways on from a state one begins with a move that is not struck: each exchange leads to an earlier one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.bitsets import WORD, parts, split
from sequencer.engine.gaps.safety import Safety, StayRule

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sequencer.engine.base.bitsets import Parts, Words
    from sequencer.engine.base.gaps import Gaps
    from sequencer.engine.base.job import Job

MOST_LEVELS = 8
"""Detours told apart for one set-up, the cheapest first."""

Reached = tuple[np.ndarray, "Words"]
"""Rows in which something is done by going to a set-up, and what is done then."""


@dataclass(frozen=True)
class Detour:
    """Where no detour by way of a set-up costs less than ``cost`` any more, and what is struck then.

    Attributes:
        over: What is done by then: the operations of set-ups between which there is a cheaper one.
        struck: For each set-up left (−1, before the first: the last) the targets struck, as bits.
    """

    cost: int
    over: Parts
    struck: np.ndarray


class Passing:
    """What is struck for states of one job; nothing where there are more set-ups than bits in a word."""

    def __init__(self, job: Job, gaps: Gaps) -> None:
        self.job = job
        self.targets = [setup for setup, _ in job.visited]
        self.movable = movable(job, gaps)
        self._fixed = split(job.all & ~self.movable, -(-job.size // WORD))
        self._changes = np.array(job.costs.changes, dtype=np.int64)
        self._bound = [
            mask_of(n for n, stay in enumerate(gaps.stays) if (stay.leaving or 0) >> setup & 1)
            for setup in range(len(job.costs.starts))
        ]
        self._whole = [parts(job.in_setup[setup]) for setup in self.targets]
        few = len(self.targets) <= WORD
        self._free = [self._struck(target, 0, free=True) for target in self.targets] if few else []
        self._detours = [self._levels(target) for target in self.targets] if few else []

    def struck(self, done: Words, present: np.ndarray, reached: Mapping[int, Reached]) -> np.ndarray:
        """For each state the targets that need not be gone to, as bits of their numbers.

        Args:
            done: What is done in each state.
            present: Its set-up.
            reached: By number of the target, what doing all that is safe there leads to.
        """
        struck = np.zeros(len(present), dtype=np.uint64)
        if not self._detours:
            return struck
        at_hand = np.zeros(len(present), dtype=np.uint64)
        found = []
        for number, (rows, then) in reached.items():
            may = present[rows] != self.targets[number]
            for own, after, fixed in zip(done, then, self._fixed, strict=True):
                may &= ((after ^ own[rows]) & np.uint64(fixed)) == 0
            whole = may.copy()
            for word, part in self._whole[number]:
                whole &= (then[word] & part) == part
            at_hand[rows[may]] |= np.uint64(1 << number)
            found.append((number, rows[may], rows[whole]))
        for number, some, every in found:
            earlier = np.uint64((1 << number) - 1)
            struck[some] |= self._free[number][present[some]] & ~(at_hand[some] & earlier)
            dear = self._by_detours(number, done, every, present[every])
            struck[every] |= dear & ~(at_hand[every] & earlier)
        return struck

    def _by_detours(self, number: int, done: Words, rows: np.ndarray, present: np.ndarray) -> np.ndarray:
        """What a target strikes that can be finished, for states in ``rows``."""
        struck = np.zeros(len(rows), dtype=np.uint64)
        over = np.ones(len(rows), dtype=bool)
        for detour in self._detours[number]:
            for word, part in detour.over:
                over &= (done[word][rows] & part) == part
            if not over.any():
                break
            struck = np.where(over, detour.struck[present], struck)
        return struck

    def _struck(self, target: int, most: int, *, free: bool = False) -> np.ndarray:
        """For each set-up left the targets to which the detour by way of ``target`` is at most so much."""
        changes, columns = self._changes, np.array(self.targets)
        detour = changes[:, [target]] + changes[target, columns] - changes[:, columns]
        struck = (detour <= most) & (columns != target)
        if free:
            struck &= columns != np.arange(len(changes))[:, None]
        struck[[bool(self._bound[target] & ~own) for own in self._bound]] = False
        struck[target] = False
        bits = struck * (np.uint64(1) << np.arange(len(columns), dtype=np.uint64))
        return np.append(bits.sum(axis=1, dtype=np.uint64), np.uint64(0))

    def _levels(self, target: int) -> list[Detour]:
        """The detours by way of a target between others, the cheapest first."""
        job = self.job
        others = [setup for setup in self.targets if setup != target]
        if not others:
            return []
        here, there = self._changes[others, target], self._changes[target, others]
        detour = here[:, None] + there[None, :] - self._changes[np.ix_(others, others)]
        last = any(not job.descendants[op] for op in members(job.in_setup[target]))
        most = int(here.min()) if last else int(detour.max())
        found = []
        for cost in np.unique(detour)[:MOST_LEVELS].tolist():
            if cost > most:
                break
            over = mask_of(op for at in _covering(detour < cost) for op in members(job.in_setup[others[at]]))
            found.append(Detour(cost, parts(over), self._struck(target, cost)))
        return found


def movable(job: Job, gaps: Gaps) -> int:
    """The operations that may be done sooner, wherever they are at hand, without breaking a rule."""
    safety = Safety(job, gaps)
    rules = [StayRule.of(job, stay) for stay in gaps.stays]
    found = 0
    for op in members(safety.safe):
        own = safety.own.get(op, [])
        found |= (
            all(
                rule.leaving >> op & 1
                and (
                    not rule.entering
                    or any(
                        not rule.leaving & ~mine.leaving and not rule.entering & ~mine.entering
                        for mine in own
                    )
                )
                for rule in rules
                if rule.after >> op & 1 and rule.leaving
            )
            << op
        )
    return found


def _covering(pairs: np.ndarray) -> list[int]:
    """Numbers of which each pair holds one; few of them, not the fewest."""
    pairs = pairs.astype(np.int32)
    counts = pairs.sum(axis=0) + pairs.sum(axis=1)
    found = []
    while counts.any():
        most = int(np.argmax(counts))
        found.append(most)
        counts -= pairs[most] + pairs[:, most]
        counts[most] = 0
        pairs[most] = pairs[:, most] = 0
    return found
