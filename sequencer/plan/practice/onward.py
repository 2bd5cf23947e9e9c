"""The rules in the middle of a job: what they still ask of what is left, once some of it is done.

They are made for the whole job, so that they ask the same of a step before and after its neighbours are done.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.graph.reach import possible
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Dropped, PracticeStay, PracticeWhile, Rule


@dataclass(frozen=True)
class Onward:
    """What is left of a job.

    Attributes:
        job: What is left, with what the machine still asks of it.
        gone: The operations that are done, or count so. On the way back, whose time is reversed, they come
            after all that is left.
        place: Where the person stands, on the way back; None: nowhere yet.
    """

    job: PracticeJob
    gone: frozenset[str]
    place: str | None = None

    def of(self, rule: Rule | Dropped, kept: Sequence[Rule] = ()) -> Rule | Dropped | None:
        """What the rule comes to for what is left, beside those ``kept`` before it; None: nothing."""
        if isinstance(rule, Dropped):
            return rule if self.job.has(rule.at) else None
        stays = tuple(self._stay(s) for s in rule.stays if self._asks(s))
        at_once = () if self._sent(kept) else tuple(self._first(s) for s in stays if self._binds(s))
        left = replace(
            rule,
            orders=tuple(pair for pair in rule.orders if self.gone.isdisjoint(pair)),
            whiles=(*(self._while(w) for w in rule.whiles if self._asks(w)), *at_once),
            stays=stays,
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
        awaited = {name for name in self.job.operations if self._waited(name, self._ends(left))}
        return replace(left, only=left.only | awaited)

    def _waited(self, name: str, end: Collection[str]) -> bool:
        """Whether something of ``end`` waits for it in the order of work."""
        if self.job.back:
            return any(self.job.waits(name, other) for other in end)
        return any(self.job.waits(other, name) for other in end)

    def _sent(self, kept: Sequence[Rule]) -> bool:
        """Whether a run that has begun says where to go next."""
        return any(self._begun(w) for rule in kept for w in rule.whiles)

    def _binds(self, left: PracticeStay) -> bool:
        """Whether it says already of the very next step that nobody leaves the place where the person is."""
        if self.place is None or not self.job.back or left.until:
            return False
        at = (self.job.operation(name).position for name in left.entering)
        return self.place in at or left.entering.issuperset(self.job.operations)

    def _first(self, stay: PracticeStay) -> PracticeWhile:
        """The next step is none of those that the stay keeps one from."""
        others = frozenset(self.job.operations) - stay.leaving
        return PracticeWhile(frozenset(), others, others, lifts=False).turned()

    def _stay(self, s: PracticeStay) -> PracticeStay:
        gone = self.gone
        return PracticeStay(s.after - gone, s.until - gone, s.leaving - gone, s.entering - gone)


def begun(
    whole: OperationGraph, gone: Collection[str], left: PracticeJob, place: str | None = None
) -> tuple[PracticeJob, Onward]:
    """The job from its beginning, with what is ``gone``, and what is ``left`` of it for who is at ``place``.

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
    return job, Onward(left, frozenset(job.operations) - frozenset(left.operations), place)
