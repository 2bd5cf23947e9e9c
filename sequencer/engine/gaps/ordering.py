"""The order of a fixed set under whiles and stays: proven, or the best known with a true bound.

Steps that are neighbours by a rule become one (``contract``), and those of one set-up that need never be
apart (``fuse``). Where no rule is left then, the job is as plain as any. Where there are no choices, levels
that keep the rules find and prove it, in the direction in which stays are easy (``turn``). Else its best
order without the rules is a bound, and the proof if it keeps them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sequencer.engine.base.bits import members
from sequencer.engine.base.gaps import Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import Merged, lean
from sequencer.engine.bounds.bounds import RunBound
from sequencer.engine.choice.answer import Incumbent
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.selection import conclude
from sequencer.engine.gaps.contract import alike, contracted
from sequencer.engine.gaps.fuse import fused
from sequencer.engine.gaps.steps import Steps, best_first
from sequencer.engine.gaps.turn import better_turned, turned_round, with_orders
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Problem, Progress
from sequencer.engine.sequence import packable, sequence
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.waves.beam import BeamResult

FEW, MANY, SMALL = 1_000, 10_000, 40
"""States tried step by step before anything else, where small jobs end; and at last, where there are more
operations than are called small."""

GLANCE = 200
"""States tried step by step before waves, of a job that is not small: enough where little is left open."""

RELAXED = 30_000
"""States for the bound without rules."""

NEARLY = 0.03
"""Gap of the changes below which it is worth while to look at the job without rules after all."""

WIDTHS, WIDER = (600, 3_000), (100_000, 1_000_000)
"""States of a level in turn: to find a good order, and one guided by a table; the wider ones for small jobs,
and where there is a limit of time (``widening``)."""


class Ordering:
    """The search; its answer is true at any moment, whenever it is interrupted.

    Attributes:
        answer: The best order and the bound.
        possible: Whether there may be an order: False once it is proven that there is none.
    """

    def __init__(
        self, problem: Problem, budget: Budget, progress: Progress | None, memory: Memory | None = None
    ) -> None:
        self.budget = budget
        self.problem = problem
        self.memory = memory or Memory()
        self.appraisal = Appraisal(problem, self.memory, budget)
        self.answer = Incumbent(problem, self.appraisal, progress)
        self.possible = True
        self._ops = tuple(members(self.appraisal.rules.open))
        self._turned = False
        self._handling = self.appraisal.rules.handling(self.appraisal.rules.open)

    def run(self, warm: Sequence[int] | None, former: Sequence[int] = ()) -> None:
        """Search until the best is proven or a limit is reached; both arguments may be good starts."""
        root = conclude(self.appraisal.rules, self.appraisal.rules.open, self.appraisal.rules.open)
        job = None if root is None else self.appraisal.job(root)
        if job is None or not job.feasible:
            self.possible = False
            return
        for order in (warm or (), former):
            self.answer.consider(order)
        # the literal costs: a rule may call for a detour that closed costs would leave out
        job = Job(job.setups, lean(job.clauses), self.appraisal.costs)
        number = {op: index for index, op in enumerate(self._ops)}
        gaps = Gaps.of(self.problem, number)
        self._turned = bool(gaps.stays) and better_turned(job, gaps)
        merged, gaps = contracted(*(turned_round(job, gaps) if self._turned else (job, gaps)))
        if merged.job.feasible:
            merged = replace(merged, job=with_orders(merged.job, gaps))
        if merged.job.feasible and gaps:
            merged, gaps = fused(merged, gaps, self.budget)
        if not merged.job.feasible:
            self.possible = False
        elif gaps:
            self._by_rules(merged, Steps(merged.job, gaps))
        else:
            self._plain(merged, self.budget)

    def _by_rules(self, merged: Merged, steps: Steps) -> None:
        """Step by step: a little at first, and to the end once the bound without rules is known."""
        if self._for_waves(steps):
            self._in_waves(merged, steps)
            return
        for states in (FEW, None if steps.job.size <= SMALL else MANY):
            found = best_first(steps, RunBound(steps.job), self._room(), self.budget, states)
            self._take(merged, found)
            self.possible = self.answer.order is not None or not found.complete
            if self._enough or not self.possible:
                return
            if states == FEW:
                self._plain_a_little(merged)

    def _for_waves(self, steps: Steps) -> bool:
        """Whether the job is one for numpy."""
        job = steps.job
        return not any(job.ors) and job.costs.closed and packable(job, self._room())

    def _in_waves(self, merged: Merged, steps: Steps) -> None:
        """Step by step a little, then in waves."""
        job = steps.job
        states = FEW if job.size <= SMALL else min(FEW, GLANCE)
        found = best_first(steps, RunBound(job), self._room(), self.budget, states)
        self._take(merged, found)
        self.possible = self.answer.order is not None or not found.complete
        if self._enough or not self.possible:
            return
        from sequencer.engine.gaps.widening import widening  # not before it is worth importing numpy

        further = job.size <= SMALL or self.budget.limits.seconds is not None
        widths = (*WIDTHS, *(WIDER if further else ()))
        near = False
        for wave in widening(job, steps.gaps, widths, self._room(), self.budget):
            self._take(merged, wave)
            self.possible = self.answer.order is not None or not wave.complete
            if self._enough:
                return
            near = close_enough(wave.cost, wave.bound, NEARLY)
        if near:  # then the rules may cost nothing, and plain jobs are proven with less
            self._plain_a_little(merged)

    def _plain_a_little(self, merged: Merged) -> None:
        """The best order without rules, as far as so many states go."""
        limits = replace(self.budget.limits, states=self._allowed(RELAXED))
        relaxed = Budget(limits, self.budget.states, began=self.budget.began)
        self._plain(merged, relaxed)
        self.budget.states = relaxed.states

    def _allowed(self, more: int) -> int:
        """So many states more, or up to the limit."""
        limit = self.budget.limits.states
        return min(self.budget.states + more, self.budget.states + more if limit is None else limit)

    def _plain(self, merged: Merged, budget: Budget) -> None:
        """The best order that leaves the gaps out of account: a bound, and the answer if it keeps them."""

        def report(found: BeamResult) -> bool:
            self._take(merged, found)
            return self._enough

        job = alike(merged.job)
        start = self._start(merged)
        self._take(merged, sequence(job, self._room(), budget, report, None, start, self.memory))

    def _start(self, merged: Merged) -> list[int] | None:
        """The best order known, in blocks."""
        known = self.answer.order
        if known is None:
            return None
        number = {op: index for index, op in enumerate(self._ops)}
        return merged.fold([number[op] for op in (known[::-1] if self._turned else known)])

    @property
    def _enough(self) -> bool:
        answer, gap = self.answer, self.budget.limits.gap
        if self.budget.over or self.budget.late:
            return True
        return answer.order is not None and close_enough(answer.cost, answer.bound, gap)

    def _room(self) -> int:
        """What the changes have to stay below to be better than what is known."""
        return -(-(self.answer.limit - self._key(0)) // self.appraisal.unit)

    def _key(self, changes: int) -> int:
        return self.appraisal.unit * (self._handling + changes) + len(self._ops)

    def _take(self, merged: Merged, found: BeamResult) -> None:
        if found.order is not None:
            order = merged.unfold(found.order)
            self.answer.consider([self._ops[number] for number in (order[::-1] if self._turned else order)])
        self.answer.raise_bound(self._key(found.bound))
