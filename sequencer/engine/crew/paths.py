"""What the needs alone say about times: earliest starts, what comes after, who comes before whom."""

from __future__ import annotations

from sequencer.engine.base.costs import Costs
from sequencer.engine.crew.crew_problem import CrewProblem
from sequencer.engine.errors import ProblemError


class Paths:
    """Longest ways through the needs of a problem.

    Attributes:
        heads: No operation can start before this.
        tails: At least this passes from the end of each operation to the end of the work.
        before: For each operation, as a bit set, those that must have ended before it starts.
        order: The operations so that every need can be met by an earlier one.
    """

    def __init__(self, problem: CrewProblem) -> None:
        self.problem = problem
        self.order = self._order()
        self.before = self._before()
        self.heads = self._heads()
        self.tails = self._tails()

    def _order(self) -> tuple[int, ...]:
        needs = self.problem.needs
        done: set[int] = set()
        order: list[int] = []
        waiting = list(range(len(needs)))
        while waiting:
            ready = [op for op in waiting if all(done.intersection(clause) for clause in needs[op])]
            if not ready:
                raise ProblemError(f"needs of {waiting} can't be met: they wait for one another")
            order += ready
            done.update(ready)
            waiting = [op for op in waiting if op not in done]
        return tuple(order)

    def _heads(self) -> tuple[int, ...]:
        """Each pass raises heads; stopping early would leave them valid, only weaker."""
        problem = self.problem
        soonest = Costs(problem.changes, problem.starts).closure.starts
        heads = [max(soonest[setup] for setup in roles) for roles in problem.roles]
        for _ in self.order:
            before = list(heads)
            for op in self.order:
                for clause in problem.needs[op]:
                    heads[op] = max(heads[op], min(heads[o] + problem.durations[o] for o in clause))
            if heads == before:
                break
        return tuple(heads)

    def _before(self) -> tuple[int, ...]:
        before = [0] * len(self.order)
        for op in self.order:
            for clause in self.problem.needs[op]:
                shared = -1
                for other in clause:
                    shared &= before[other] | 1 << other
                before[op] |= shared
        return tuple(before)

    def _tails(self) -> tuple[int, ...]:
        tails = [0] * len(self.order)
        for op in reversed(self.order):
            for clause in self.problem.needs[op]:
                if len(clause) == 1:
                    tails[clause[0]] = max(tails[clause[0]], self.problem.durations[op] + tails[op])
        return tuple(tails)
