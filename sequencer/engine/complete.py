"""Good whole choices out of partial ones, to have something to hold the bounds against."""

from __future__ import annotations

from sequencer.engine.answer import Answer
from sequencer.engine.appraisal import Appraisal
from sequencer.engine.beam import beam
from sequencer.engine.bits import mask_of, members
from sequencer.engine.selection import Partial, conclude
from sequencer.engine.sequence import greedy
from sequencer.engine.stop import Budget

NARROW = 10
"""Width of the search for a first order of a whole choice."""


class Completer:
    """Completes partial choices and puts each whole choice in order once."""

    def __init__(self, appraisal: Appraisal, answer: Answer, budget: Budget) -> None:
        self.appraisal = appraisal
        self.answer = answer
        self.budget = budget
        self._tried: set[int] = set()

    def complete(self, partial: Partial, wanted: int = 0) -> None:
        """Meet every open clause, by one of ``wanted`` or else the cheapest member, and order what results."""
        appraisal = self.appraisal
        while open_clauses := partial.open_clauses():
            clause = open_clauses[0][1] & partial.allowed
            _, _, op = min(
                (not wanted >> op & 1, appraisal.adding(partial, op), op) for op in members(clause)
            )
            grown = conclude(partial.rules, partial.chosen | 1 << op, partial.allowed)
            if grown is None:
                return
            partial = grown
        if partial.chosen in self._tried:
            return
        self._tried.add(partial.chosen)
        whole = conclude(partial.rules, partial.chosen, partial.chosen)
        if whole is not None and whole.chosen == partial.chosen:
            self._order(whole)

    def flip(self, root: Partial) -> None:
        """From the best choice, leave out one operation that had an alternative; while that makes it better."""
        improved = self.answer.order is not None
        while improved:
            improved = False
            best = mask_of(self.answer.order or ())
            for op in members(best & root.undecided):
                if not any(clause >> op & 1 and clause & (clause - 1) for clause in self._clauses(best)):
                    continue
                limit = self.answer.limit
                without = conclude(root.rules, root.chosen, root.allowed & ~(1 << op))
                if without is not None:
                    self.complete(without, best)
                if self.answer.limit < limit:
                    improved = True
                    break

    def _clauses(self, chosen: int) -> list[int]:
        rules = self.appraisal.rules
        return [*rules.goals, *(clause for op in members(chosen) for clause in rules.clauses[op])]

    def _order(self, whole: Partial) -> None:
        """A greedy order and a narrow search."""
        merged = self.appraisal.merged(whole)
        if merged is None:
            return
        ops = list(members(whole.chosen))
        self.answer.consider([ops[number] for number in merged.unfold(greedy(merged.job))])
        cutoff = self.appraisal.room(whole, self.answer.limit)
        if cutoff > 0:
            found = beam(merged.job, self.appraisal.guide(merged.job), NARROW, cutoff, self.budget)
            if found.order is not None:
                self.answer.consider([ops[number] for number in merged.unfold(found.order)])
