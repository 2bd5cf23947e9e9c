"""The rules in the middle of a job: what they still ask of what is left, once some of it is done.

They are made for the whole job, so that they ask the same of a step before and after its neighbours are done.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.graph.reach import possible
from sequencer.plan.practice.job import PracticeJob
from sequencer.plan.practice.rules import Dropped, PracticeStay, PracticeWhile, Rule


@dataclass(frozen=True)
class Onward:
    """What is left of a job.

    Attributes:
        job: What is left, with what the machine still asks of it.
        gone: The operations that are done, or count so. On the way back, whose time is reversed, they come
            after all that is left.
    """

    job: PracticeJob
    gone: frozenset[str]

    def of(self, rule: Rule | Dropped) -> Rule | Dropped | None:
        """What the rule comes to for what is left; None: nothing."""
        if isinstance(rule, Dropped):
            return rule if self.job.has(rule.at) else None
        left = replace(
            rule,
            orders=tuple(pair for pair in rule.orders if self.gone.isdisjoint(pair)),
            whiles=tuple(self._while(w) for w in rule.whiles if self._asks(w)),
            stays=tuple(self._stay(s) for s in rule.stays if self._asks(s)),
        )
        return left if left.orders or left.whiles or left.stays else None

    def together(self, rules: Sequence[Rule]) -> list[Rule]:
        """The rules, where several runs of work have begun: all are ended before anything else is done.

        Nobody can end them at once, so each lets the work of the others come between.
        """
        begun = [w for rule in rules for w in rule.whiles if self._begun(w)]
        if len(begun) < 2:
            return list(rules)
        work = frozenset(name for w in begun for name in (*w.only, *self._ends(w)))

        def widened(w: PracticeWhile) -> PracticeWhile:
            return replace(w, only=w.only | work) if self._begun(w) else w

        return [replace(rule, whiles=tuple(widened(w) for w in rule.whiles)) for rule in rules]

    def _begun(self, w: PracticeWhile) -> bool:
        return w.lifts and not (w.until if self.job.back else w.after)

    def _ends(self, w: PracticeWhile) -> frozenset[str]:
        """What ends it, in the order of work."""
        return w.after if self.job.back else w.until

    def _asks(self, condition: PracticeWhile | PracticeStay) -> bool:
        """Whether it can still come to be active."""
        ended = condition.after if self.job.back else condition.until
        return self.gone.isdisjoint(ended)

    def _while(self, w: PracticeWhile) -> PracticeWhile:
        """Where it has begun already, what its end still waits for may be done as well."""
        left = PracticeWhile(w.after - self.gone, w.until - self.gone, w.only - self.gone, w.lifts)
        if not self._begun(left):
            return left
        awaited = {name for name in self.job.operations if self._first(name, self._ends(left))}
        return replace(left, only=left.only | awaited)

    def _first(self, name: str, end: Collection[str]) -> bool:
        """Whether something of ``end`` waits for it in the order of work."""
        if self.job.back:
            return any(self.job.waits(name, other) for other in end)
        return any(self.job.waits(other, name) for other in end)

    def _stay(self, s: PracticeStay) -> PracticeStay:
        gone = self.gone
        return PracticeStay(s.after - gone, s.until - gone, s.leaving - gone, s.entering - gone)


def begun(whole: OperationGraph, gone: Collection[str], left: PracticeJob) -> tuple[PracticeJob, Onward]:
    """The job from its beginning, with what is ``gone``, and what is ``left`` of it.

    What was done against the graph is taken as it is: it waits for nothing that was never done.
    """
    graph = whole.restricted({*left.operations, *(name for name in gone if name in whole.operations)})
    able = possible(graph.needs, rules_as_clauses(graph))
    needs = {
        name: clauses if name in able or left.has(name) else tuple(c for c in clauses if c.any_of)
        for name, clauses in graph.needs.items()
    }
    able = possible(needs, rules_as_clauses(graph))
    needs = {n: clauses if n in able or left.has(n) else () for n, clauses in needs.items()}
    job = PracticeJob(replace(graph, needs=needs), left.back)
    return job, Onward(left, frozenset(job.operations) - frozenset(left.operations))
