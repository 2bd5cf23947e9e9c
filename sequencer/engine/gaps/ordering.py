"""The order of a fixed set under whiles and stays: proven, or the best known with a true bound.

Steps that are neighbours by a rule become one (``contract``). Where no rule is left then, the job is as plain
as any; else its best order without the rules is a bound, and the proof if it keeps them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sequencer.engine.base.bits import members
from sequencer.engine.base.gaps import Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import Merged, lean
from sequencer.engine.bounds.bounds import RunBound
from sequencer.engine.choice.answer import Answer
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.selection import conclude
from sequencer.engine.gaps.contract import alike, contracted
from sequencer.engine.gaps.steps import Steps, best_first
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Problem, Progress
from sequencer.engine.sequence import sequence
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.waves.beam import Found

FEW, MANY, SMALL = 1_000, 10_000, 40
"""States tried step by step before anything else, where small jobs end; and at last, where there are more
operations than are called small."""

RELAXED = 30_000
"""States for the bound without rules."""


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
        self.answer = Answer(problem, self.appraisal, progress)
        self.possible = True
        self._ops = tuple(members(self.appraisal.rules.open))
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
        merged, gaps = contracted(job, Gaps.of(self.problem, number))
        if not merged.job.feasible:
            self.possible = False
        elif gaps:
            self._by_rules(merged, Steps(merged.job, gaps))
        else:
            self._plain(merged, self.budget)

    def _by_rules(self, merged: Merged, steps: Steps) -> None:
        """Step by step: a little at first, and to the end once the bound without rules is known."""
        for states in (FEW, None if steps.job.size <= SMALL else MANY):
            found = best_first(steps, RunBound(steps.job), self._room(), self.budget, states)
            self._take(merged, found)
            self.possible = self.answer.order is not None or not found.complete
            if self._enough or not self.possible:
                return
            if states == FEW:
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

        def report(found: Found) -> bool:
            self._take(merged, found)
            return self._enough

        known = self.answer.order
        number = {op: index for index, op in enumerate(self._ops)}
        start = None if known is None else merged.fold([number[op] for op in known])
        job = alike(merged.job)
        self._take(merged, sequence(job, self._room(), budget, report, None, start, self.memory))

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

    def _take(self, merged: Merged, found: Found) -> None:
        if found.order is not None:
            self.answer.consider([self._ops[number] for number in merged.unfold(found.order)])
        self.answer.raise_bound(self._key(found.bound))
