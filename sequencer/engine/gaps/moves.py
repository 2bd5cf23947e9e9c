"""The moves of a job with rules for thousands of states at a time.

All that is safe (``safety``) in a set-up is done at once, and the others one by one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import members
from sequencer.engine.base.bitsets import WORD, parts
from sequencer.engine.base.packed import Packed
from sequencer.engine.gaps.safety import Safety

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.engine.base.bitsets import Parts, Words
    from sequencer.engine.base.gaps import Gap, Gaps
    from sequencer.engine.base.job import Job
    from sequencer.engine.base.packed import StateBounds


class GapMoves(Packed):
    """Moves of a job with whiles and stays. A goal is a set-up with an operation, −1 for all safe ones."""

    def __init__(self, job: Job, gaps: Gaps, *bounds: StateBounds) -> None:
        super().__init__(job, *bounds)
        self.safe = Safety(job, gaps).safe
        self._whiles = [(Active(rule), parts(job.all & ~rule.following)) for rule in gaps.whiles]
        self._turning = 0
        for rule in gaps.whiles:
            self._turning |= rule.after | rule.until
        self._lifting = [Active(rule) for rule in gaps.whiles if rule.lifts]
        self.goals = [
            (setup, op)
            for setup, ops in job.visited
            for op in (*([-1] if ops & self.safe else []), *members(ops & ~self.safe))
        ]
        self.goal_setups = np.array([setup for setup, _ in self.goals], dtype=np.int16)
        self._one: list[tuple[int, np.uint64, Parts]] = [
            (op // WORD, np.uint64(1 << op % WORD), parts(job.needs[op])) for op in range(job.size)
        ]
        self._safe_ops = {
            setup: [op for op in job.by_ancestors if ops & self.safe & 1 << op] for setup, ops in job.visited
        }
        self._groups = self._grouped(gaps)

    def _grouped(self, gaps: Gaps) -> list[tuple[np.ndarray, np.ndarray, list[Active]]]:
        """Stays with the same set-ups: which are left, which goals are barred, and when each is active."""
        groups: dict[tuple[int, int], dict[tuple[int, int], Active]] = {}
        for stay in gaps.stays:
            groups.setdefault((stay.leaving or 0, stay.following), {})[stay.after, stay.until] = Active(stay)
        found = []
        for (leaving, following), active in groups.items():
            left = np.zeros(len(self.starts) + 1, dtype=bool)
            left[list(members(leaving))] = True
            barred = [bool(self.job.in_setup[setup] & ~following) for setup, _ in self.goals]
            found.append((left, np.array(barred), list(active.values())))
        return found

    def barred(self, done: Words, present: np.ndarray, extent: Extent) -> np.ndarray:
        """For each state and goal whether a stay forbids to go there."""
        barred = np.zeros((len(present), len(self.goals)), dtype=bool)
        lifting = [rule for rule in self._lifting if rule.may_be(extent)]
        for left, goals, rules in self._groups:
            active = [rule for rule in rules if rule.may_be(extent)]
            rows = np.flatnonzero(left[present]) if active else ()
            if len(rows):
                own = [words[rows] for words in done]
                binds = np.zeros(len(rows), dtype=bool)
                for rule in active:
                    binds |= rule.on(own)
                for rule in lifting:
                    binds &= ~rule.on(own)
                barred[rows[binds]] |= goals
        return barred

    def held(self, done: Words, extent: Extent | None = None) -> Words:
        """For each state what is done or no ``While`` lets come next."""
        held = list(done)
        for rule, out in self._whiles:
            if extent is None or rule.may_be(extent):
                active = rule.on(done).astype(np.uint64)
                for word, part in out:
                    held[word] = held[word] | active * part
        return held

    def reached(
        self, done: Words, held: Words, goal: int, free: np.ndarray, extent: Extent
    ) -> tuple[np.ndarray, Words]:
        """The rows of ``free`` in which something is done by going to a goal, and what is done then.

        ``held`` is what ``held`` tells of ``done``, found once for all goals, as ``extent`` is.
        """
        setup, op = self.goals[goal]
        near = [safe for safe in self._safe_ops[setup] if self._is_near(safe, extent)]
        if not near if op < 0 else not self._is_near(op, extent):
            none = np.zeros(0, dtype=np.int64)
            return none, [words[none] for words in done]
        if op < 0:
            rows = np.flatnonzero(free)
            before = [words[rows] for words in done]
            after = self._exhausted(before, [words[rows] for words in held], near)
            moved = after[0] != before[0]
            for then, now in zip(after[1:], before[1:], strict=True):
                moved |= then != now
            return rows[moved], [words[moved] for words in after]
        word, bit, needs = self._one[op]
        rows = np.flatnonzero(free & ((held[word] & bit) == 0) & _all(done, needs))
        after = [words[rows] for words in done]
        after[word] = after[word] | bit
        if self._turning >> op & 1:
            return rows, self._exhausted(after, self.held(after), near)
        return rows, self._exhausted(after, [words[rows] for words in held], near)

    def _is_near(self, op: int, extent: Extent) -> bool:
        """Whether an operation may be done in any of the states, or after others of its set-up."""
        here = self.job.in_setup[self.job.setups[op]]
        return not extent.every >> op & 1 and not self.job.needs[op] & ~(extent.some | here)

    def _exhausted(self, done: Words, held: Words, safe: Sequence[int]) -> Words:
        """Do all that is safe in a set-up; no ``While`` begins or ends by that."""
        after = list(done)
        for op in safe:
            word, bit, needs = self._one[op]
            now = _all(after, needs) & ((held[word] & bit) == 0)
            after[word] = after[word] | (now.astype(np.uint64) * bit)
        return after


@dataclass(frozen=True)
class Extent:
    """What is done in some state of a batch, and what in every one."""

    some: int
    every: int

    @classmethod
    def of(cls, done: Words) -> Extent:
        """Of all the states, of which there is one at least."""
        some, every = (
            sum(int(find.reduce(words)) << WORD * number for number, words in enumerate(done))
            for find in (np.bitwise_or, np.bitwise_and)
        )
        return cls(some, every)


class Active:
    """When a rule is active, for batches of states."""

    def __init__(self, rule: Gap) -> None:
        self._rule = rule
        self._after, self._until = parts(rule.after), parts(rule.until)

    def may_be(self, extent: Extent) -> bool:
        """Whether it may be active in any of the states."""
        return not self._rule.after & ~extent.some and not self._rule.until & extent.every

    def on(self, done: Words) -> np.ndarray:
        """In which states it is."""
        active: np.ndarray = _all(done, self._after) & _none(done, self._until)
        return active


def _all(done: Words, wanted: Parts) -> np.ndarray:
    held = None
    for word, part in wanted:
        own = (done[word] & part) == part
        held = own if held is None else held & own
    return np.ones(len(done[0]), dtype=bool) if held is None else held


def _none(done: Words, unwanted: Parts) -> np.ndarray:
    clear = None
    for word, part in unwanted:
        own = (done[word] & part) == 0
        clear = own if clear is None else clear & own
    return np.ones(len(done[0]), dtype=bool) if clear is None else clear
