"""Proof by refinement under rules: a table of few operations that keeps the rules as far as it knows of them.

In an ideal of the operations kept a rule is active for certain when what it waits for is sure to be done and
what ends it is not. As long as nothing that is kept is done, that stays so: what is left out may come between
two steps, but neither what a ``While`` keeps out, nor anything by way of which a ``Stay`` could be passed by.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.gaps.runs import held_together
from sequencer.engine.gaps.turn import firm, of_setups, with_earlier
from sequencer.engine.refine.lacking import completed, lacking
from sequencer.engine.refine.refine import Refinement
from sequencer.engine.waves.beam import BeamResult

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sequencer.engine.base.gaps import Gap, Gaps
    from sequencer.engine.base.job import Job
    from sequencer.engine.base.packed import StateBounds
    from sequencer.engine.refine.ideals import Ideals
    from sequencer.engine.refine.sweep import Sweep
    from sequencer.engine.stop import Budget

BREACH = 5
"""What a breach counts for when operations are taken in, beside the changes that others cost."""


Lifted = tuple["Gap", bool]
"""A rule, and whether a ``While`` may lift it."""


class Bars:
    """The rules of a job by what they come to: operations barred, and places that are not left.

    Attributes:
        bars: By operations that can't come next, the rules of which any that is active bars them.
        locks: By pairs of set-ups as bits, from any of the first of which nobody goes to any of the second:
            the rules of which any that is active says so, and for each the operations that lead past it.
        lifting: The whiles that lift stays.
    """

    def __init__(self, job: Job, gaps: Gaps) -> None:
        self.bars: dict[int, list[Lifted]] = {}
        self.locks: dict[tuple[int, int], tuple[list[Lifted], list[int]]] = {}
        self.lifting = [rule for rule in gaps.whiles if rule.lifts]
        for rule in gaps.whiles:
            self.bars.setdefault(job.all & ~rule.following, []).append((rule, False))
        never_lifted = set(firm(job, gaps))
        for stay in gaps.stays:
            before = with_earlier(job, stay.after)
            leaving, entering = of_setups(job, stay.leaving or 0), job.all & ~stay.following
            lifted = stay, stay not in never_lifted
            if stay.after and not (job.all & ~before | stay.after) & ~leaving:
                self.bars.setdefault(entering, []).append(lifted)
            else:
                pair = stay.leaving or 0, mask_of(job.setups[op] for op in members(entering))
                rules, bypasses = self.locks.setdefault(pair, ([], []))
                rules.append(lifted)
                bypasses.append(job.all & ~before & ~(leaving | entering))


class RefinedBinding:
    """The same in the ideals of one table."""

    def __init__(self, bars: Bars, ideals: Ideals) -> None:
        self._ideals = ideals
        self._certain_of: dict[tuple[int, bool], np.ndarray | None] = {}
        self._active_of: dict[tuple[int, int], np.ndarray | None] = {}
        self._unlifted = self._without(bars.lifting)
        self._barred: dict[int, np.ndarray] = {}
        for out, rules in bars.bars.items():
            active = self._any(rules) if out & ideals.kept else None
            if active is not None:
                for op in members(out & ideals.kept):
                    known = self._barred.get(op)
                    self._barred[op] = active if known is None else known | active
        locks = np.zeros(len(ideals), dtype=np.uint64)
        for place, (rules, bypasses) in enumerate(bars.locks.values()):
            sure = [rule for rule, bypass in zip(rules, bypasses, strict=True) if not bypass & ~ideals.kept]
            active = self._any(sure)
            if active is not None:
                locks |= active.astype(np.uint64) << np.uint64(place)
        locks[0] = 0  # before the first step nothing is left
        kinds, self.kind = np.unique(locks, return_inverse=True)
        leaving = self._columns([out for out, _ in bars.locks])
        entering = self._columns([into for _, into in bars.locks])
        del self._certain_of, self._active_of, self._unlifted
        self.shut = (kinds[:, None, None] & leaving[:, None] & entering) != 0

    def barred(self, op: int) -> np.ndarray | None:
        """In which ideals an operation can't come next at all; None: in none."""
        return self._barred.get(op)

    def take(self, rows: np.ndarray) -> None:
        """Only these ideals are left."""
        self.kind = self.kind[rows]
        self._barred = {op: barred[rows] for op, barred in self._barred.items()}

    def _columns(self, setups: Iterable[int]) -> np.ndarray:
        held = [
            sum((mask >> setup & 1) << n for n, mask in enumerate(setups)) for setup in self._ideals.column
        ]
        return np.array(held, dtype=np.uint64)

    def _any(self, rules: Iterable[Lifted]) -> np.ndarray | None:
        """Where any of several rules is active for certain; None: nowhere."""
        found = None
        for rule, may_be_lifted in rules:
            active = self._active(rule)
            if active is not None:
                active = active & self._unlifted if may_be_lifted else active
                found = active if found is None else found | active
        return found

    def _active(self, rule: Gap) -> np.ndarray | None:
        """Where a rule is active for certain; None: nowhere."""
        key = rule.after, rule.until
        if key not in self._active_of:
            found: np.ndarray | None = np.ones(len(self._ideals), dtype=bool)
            for sure in (
                *(self._done(op) for op in members(rule.after)),
                *(self._undone(op) for op in members(rule.until)),
            ):
                found = None if found is None or sure is None else found & sure
            self._active_of[key] = found
        return self._active_of[key]

    def _without(self, rules: Iterable[Gap]) -> np.ndarray:
        """Where none of several rules can be active."""
        without = np.ones(len(self._ideals), dtype=bool)
        for rule in rules:
            over = np.zeros(len(self._ideals), dtype=bool)
            for found in (
                *(self._undone(op) for op in members(rule.after)),
                *(self._done(op) for op in members(rule.until)),
            ):
                if found is not None:
                    over |= found
            without &= over
        return without

    def _done(self, op: int) -> np.ndarray | None:
        """Where an operation is done for certain."""
        return self._certain(op, done=True)

    def _undone(self, op: int) -> np.ndarray | None:
        """Where an operation is not done for certain."""
        return self._certain(op, done=False)

    def _certain(self, op: int, *, done: bool) -> np.ndarray | None:
        if (op, done) not in self._certain_of:
            ideals = self._ideals
            near = ideals.job.descendants[op] if done else ideals.job.ancestors[op]
            telling = 1 << op if ideals.kept >> op & 1 else near & ideals.kept
            found = ~(ideals.free(telling) if done else ideals.has(telling)) if telling else None
            self._certain_of[op, done] = found
        return self._certain_of[op, done]


class RuledRefinement(Refinement):
    """Refinement of a job with rules, fit for waves with rules.

    Attributes:
        by_turns: Whether every other time what is lacking counts each by itself.
    """

    with_prices = True
    by_turns = False

    def __init__(self, job: Job, gaps: Gaps, cutoff: int, budget: Budget) -> None:
        super().__init__(job, cutoff, budget)
        self.gaps = gaps
        self._bars = Bars(job, gaps)
        self._alone = False
        for ops in held_together(job, gaps):
            self._together |= dict.fromkeys(members(ops), ops)

    def _new_sweep(self) -> Sweep:
        return self._sweep(RefinedBinding(self._bars, self.ideals))

    def _completed(self, kept: Sequence[int]) -> BeamResult:
        order = self._whole(kept)
        if self.gaps.broken(order):
            return BeamResult(None, self.best.cost, 0)
        return BeamResult(order, self.job.cost(order), 0)

    def _whole(self, kept: Sequence[int]) -> list[int]:
        return list(kept) if len(kept) == self.job.size else completed(self.job, kept)

    def _lacking(self, kept: Sequence[int]) -> dict[int, int]:
        """What its order has no visit for, and what the rules are about that it breaks when completed."""
        lack = lacking(self.job, kept, added=not self._alone)
        self._alone = self.by_turns and not self._alone
        left_out = self.job.all & ~self.ideals.kept
        for rule, op in self.gaps.broken(self._whole(kept)):
            for about in members((rule.after | rule.until | 1 << op) & left_out):
                lack[about] = lack.get(about, 0) + BREACH
        return lack or dict.fromkeys(members(left_out), 1)

    def _waves(self, left: StateBounds, kept: Sequence[int]) -> None:
        """None: under rules they need a better guide, and have been before."""
