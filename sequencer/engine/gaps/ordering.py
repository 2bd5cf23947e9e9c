"""The order of a fixed set under whiles and stays: proven, or the best known with a true bound.

A state is what is done and the last set-up: what may come next depends on nothing else, so that of two ways
to one state the dearer is never needed.
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.bits import members
from sequencer.engine.base.gaps import Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import lean
from sequencer.engine.bounds.bounds import RunBound
from sequencer.engine.choice.answer import Answer
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.selection import conclude
from sequencer.engine.gaps.steps import Steps, best_first
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Problem, Progress
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import Found


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
        self.appraisal = Appraisal(problem, memory or Memory(), budget)
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
        steps = Steps(job, Gaps.of(self.problem, number))
        self._take(best_first(steps, RunBound(job), self._room(), self.budget))

    def _room(self) -> int:
        """What the changes have to stay below to be better than what is known."""
        return -(-(self.answer.limit - self._key(0)) // self.appraisal.unit)

    def _key(self, changes: int) -> int:
        return self.appraisal.unit * (self._handling + changes) + len(self._ops)

    def _take(self, found: Found) -> None:
        if found.order is not None:
            self.answer.consider([self._ops[number] for number in found.order])
        self.answer.raise_bound(self._key(found.bound))
        if found.complete and self.answer.order is None:
            self.possible = False
