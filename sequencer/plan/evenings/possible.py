"""What may come next in a plan's steps, in any order that the machine and good practice allow, as bits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import Kind, Op, OperationGraph
from sequencer.graph.reverse import way_back
from sequencer.plan.closing.sealing import with_seals
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.plan.practice.rules import Rule


@dataclass(frozen=True)
class _Gap:
    """Once all of ``after`` are done and none of ``until`` is, only ``then`` comes next after ``leaving``."""

    after: int
    until: int
    then: int
    leaving: int = -1
    lifts: bool = True


class Possible:
    """The steps of a plan as bits, in its own order, and what may come next once some of them are done.

    Attributes:
        names: The operation of each bit.
        stays: Whether what may come next depends on the last step as well.
    """

    def __init__(self, plan: Plan, more: Sequence[Rule] = ()) -> None:
        self.names = tuple(op.name for op in plan.operations)
        self.bit = {name: 1 << place for place, name in enumerate(self.names)}
        self.all = (1 << len(self.names)) - 1
        graph = graph_of(plan)
        rules = (*(plan.practice.kept if plan.practice else ()), *more)
        self._back = plan.back
        self._clauses(graph, rules)
        self._gaps(rules)
        for name in self.names if plan.back else ():
            if Op(name).kind is Kind.SEAL:  # directly before what it is put on for
                (clause,) = graph.needs[name]
                self._whiles.append(_Gap(self.bit[name], self.bits(clause.any_of), self.bits(clause.any_of)))
        self.stays = bool(self._stays)

    def bits(self, names: Iterable[str]) -> int:
        """Those of the names that are steps of the plan."""
        found = 0
        for name in names:
            found |= self.bit.get(name, 0)
        return found

    def _clauses(self, graph: OperationGraph, rules: Sequence[Rule]) -> None:
        orders = rules_as_clauses(graph)
        needs = {
            name: [self.bits(c.any_of) for c in (*graph.needs[name], *orders.get(name, ()))]
            for name in self.names
        }
        for before, after in (pair for rule in rules for pair in rule.orders):
            needs[after].append(self.bit[before])
        self._needs: list[list[int]] = [[] for _ in self.names]
        self._keeps: list[list[tuple[int, int]]] = [[] for _ in self.names]
        for place, name in enumerate(self.names):
            for clause in set(needs[name]):
                if not self._back:
                    self._needs[place].append(clause)
                    continue
                for other in range(len(self.names)):
                    if clause >> other & 1:
                        self._keeps[other].append((1 << place, clause))

    def _gaps(self, rules: Sequence[Rule]) -> None:
        whiles = [w.turned() if self._back else w for rule in rules for w in rule.whiles]
        stays = [s.turned() if self._back else s for rule in rules for s in rule.stays]
        self._whiles = [
            _Gap(self.bits(w.after), self.bits(w.until), self.bits(w.only | w.until), lifts=w.lifts)
            for w in dict.fromkeys(whiles)
        ]
        self._stays = [
            _Gap(self.bits(s.after), self.bits(s.until), ~self.bits(s.entering), self.bits(s.leaving))
            for s in dict.fromkeys(stays)
        ]

    def next(self, done: int, last: int) -> int:
        """What may come next after ``done``, the last of which is the step ``last``; −1: nothing is done."""
        allowed, lifted = self.all & ~done, False
        for gap in self._whiles:
            if not gap.after & ~done and not gap.until & done:
                allowed &= gap.then
                lifted = lifted or gap.lifts
        if last >= 0 and not lifted:
            for gap in self._stays:
                if gap.leaving >> last & 1 and not gap.after & ~done and not gap.until & done:
                    allowed &= gap.then
        left, found = allowed, 0
        while left:
            bit = left & -left
            left ^= bit
            if self._free(bit.bit_length() - 1, done):
                found |= bit
        return found

    def _free(self, step: int, done: int) -> bool:
        if not self._back:
            return all(clause & done for clause in self._needs[step])
        with_it = done | 1 << step
        return not any(not owner & done and not clause & ~with_it for owner, clause in self._keeps[step])

    def first(self, steps: int, done: int) -> int:
        """Of what is not done yet, ``steps`` and what has to come before them, by one way of several."""
        found, open_ = 0, steps & ~done
        while open_:
            bit = open_ & -open_
            found |= bit
            step = bit.bit_length() - 1
            for clause in self._needs[step]:
                if not clause & (done | found):
                    open_ |= clause & -clause
            for owner, clause in self._keeps[step]:
                if not owner & (done | found) and not clause & ~(done | found | open_):
                    open_ |= owner
            open_ &= ~(found | done)
        return found


def graph_of(plan: Plan) -> OperationGraph:
    """Just what a plan does; on the way back in reversed time, with its beads."""
    names = [op.name for op in plan.operations]
    if isinstance(plan, Teardown):
        return plan.graph.restricted(names)
    assert isinstance(plan, Refit)
    back = way_back(plan.teardown.graph, (op.name for op in plan.teardown.operations))
    sealed, _ = with_seals(back, names)
    return sealed.graph.restricted(names)
