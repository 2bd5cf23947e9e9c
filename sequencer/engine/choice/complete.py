"""Good whole choices out of partial ones, to have something to hold the bounds against."""

from __future__ import annotations

from sequencer.engine.base.bits import members
from sequencer.engine.choice.answer import Incumbent
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.selection import Partial, conclude
from sequencer.engine.sequence import greedy
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import beam

NARROW = 10
"""Width of the search for a first order of a whole choice."""


class Completer:
    """Completes partial choices and puts each whole choice in order once."""

    def __init__(self, appraisal: Appraisal, answer: Incumbent, budget: Budget) -> None:
        self.appraisal = appraisal
        self.answer = answer
        self.budget = budget
        self._tried: set[int] = set()

    def complete(self, partial: Partial) -> None:
        """Meet every open clause by its cheapest member, and order what results."""
        whole = met(self.appraisal, partial, 0)
        if whole is not None and whole.chosen not in self._tried:
            self._tried.add(whole.chosen)
            self._order(whole)

    def _order(self, whole: Partial) -> None:
        """A greedy order and a narrow search."""
        merged = self.appraisal.merged(whole)
        if merged is None:
            return
        ops = list(members(whole.chosen))
        self.answer.consider([ops[number] for number in merged.unfold(greedy(merged.job))])
        cutoff = self.appraisal.room(whole, self.answer.limit)
        if cutoff > 0 and not self.budget.late:
            job = merged.job
            found = beam(job, self.appraisal.guide(job), NARROW, cutoff, self.budget)
            if found.order is not None:
                self.answer.consider([ops[number] for number in merged.unfold(found.order)])


def met(appraisal: Appraisal, partial: Partial, wanted: int) -> Partial | None:
    """A whole choice that meets every open clause, by ``wanted`` or else the cheapest; None: impossible."""
    while open_clauses := {clause & partial.allowed for _, clause in partial.open_clauses()}:
        picked = 0
        for clause in sorted(open_clauses):
            if not clause & picked:
                ops = clause & wanted or clause
                op = min(members(ops), key=lambda op: (appraisal.adding(partial, op), op))
                picked |= partial.before[op] | 1 << op
        grown = conclude(partial.rules, partial.chosen | picked, partial.allowed)
        if grown is None:
            return None
        partial = grown
    whole = conclude(partial.rules, partial.chosen, partial.chosen)
    return whole if whole is not None and whole.chosen == partial.chosen else None
