"""What a job would cost if something were otherwise: many questions that are much alike, each exact.

A price is the difference of two whole plans. Every question is solved like a plan, to the same limits and
with the same proof; it only comes sooner, because the engine is asked in one conversation and because a
question that a bound settles is not searched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from sequencer.engine import Conversation, solve
from sequencer.engine import ask as begin
from sequencer.engine.problem import Limits, Problem, Progress, Result
from sequencer.graph import Target, UnreachableError, derive, explain_conflict, goals, narrowed
from sequencer.graph.blocker_tree import Fork, Way, by_way, comes_off, without
from sequencer.graph.operations import Because, Clause, OperationGraph, Reason
from sequencer.machine.model import Machine
from sequencer.plan.answer import Answer, Watch, best_order
from sequencer.plan.hours.hours import Hours, hours_of
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import replay, teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Refit
from sequencer.plan.prices.prices_floor import extended, least_added, seconds_of
from sequencer.plan.refit import plan_refit

Wanted = tuple[Clause, ...]


@dataclass(frozen=True)
class Stays:
    """The part need not move: a special tool or a trick gets past it."""

    part: str


@dataclass(frozen=True)
class Through:
    """One need is met by one of its ways and by no other."""

    fork: Fork
    way: Way


@dataclass(frozen=True)
class Also:
    """One part more comes off."""

    part: str


@dataclass(frozen=True)
class Alone:
    """This part comes off, and the job's own targets are left for another day."""

    part: str


Change = Stays | Through | Also | Alone
"""What is otherwise."""


@dataclass(frozen=True)
class Price:
    """What a changed job takes.

    Attributes:
        seconds: Of the best way in; None where there is none.
        bound_seconds: No way in takes less.
        order: What is done.
    """

    seconds: Fraction | None
    bound_seconds: Fraction
    proven: bool
    order: tuple[str, ...] = ()


class Pricer:
    """Answers questions about one job; plain data, so that it can be sent to another process.

    Attributes:
        whole: All that the machine allows.
        graph: What the job can call for.
        wanted: What the job has to come to.
        answer: The job itself; ``base`` is its price.
    """

    def __init__(
        self,
        machine: Machine,
        targets: Sequence[Target],
        limits: Limits,
        watch: Watch | None = None,
        *,
        both_ways: bool = False,
    ) -> None:
        """Solve the job; with ``both_ways`` all prices have the way back in them, solved like a plan.

        Raises:
            UnreachableError: No order of work reaches the targets.
        """
        self.machine = machine
        self.limits = limits
        self.both_ways = both_ways
        self.changes = Changes.of(machine)
        self.whole = derive(machine)
        self.graph, self.wanted = narrowed(self.whole, goals(self.whole, targets))
        self._asked: Conversation | None = None
        answer = self._best(self.graph, self.wanted, watch)
        if answer is None:
            raise explain_conflict(self.graph, self.wanted)
        self.answer: Answer = answer
        self.base = self._priced(self.graph, answer)

    def price(self, change: Change) -> Price:
        """What the job takes with something changed."""
        try:
            graph, wanted = self._changed(change)
        except UnreachableError:
            return _IMPOSSIBLE
        if not wanted:
            return Price(Fraction(0), Fraction(0), proven=True)
        if (
            isinstance(change, Also)
            and not self.both_ways
            and (known := self._without_search(graph, wanted, change.part))
        ):
            return known
        answer = self._best(graph, wanted, None)
        return _IMPOSSIBLE if answer is None else self._priced(graph, answer)

    @cached_property
    def hours(self) -> Hours:
        """How long the way in really takes."""
        return hours_of(self.whole.machine, replay(self.graph, self.answer.order, self.changes))

    def _changed(self, change: Change) -> tuple[OperationGraph, Wanted]:
        """The changed question, with the job's own numbers where its operations suffice."""
        match change:
            case Stays():
                freed = narrowed(*without(self.whole, self.wanted, change.part))
                if set(freed[0].operations) <= set(self.graph.operations):
                    return without(self.graph, self.wanted, change.part)
                return freed  # what was impossible with the part in the way is possible without it
            case Through():
                return by_way(self.graph, self.wanted, change.fork, change.way)
            case Also():
                return narrowed(self.whole, (*self.wanted, self._off(change.part)))
            case Alone():
                return narrowed(self.whole, (self._off(change.part),))

    def _without_search(self, graph: OperationGraph, wanted: Wanted, part: str) -> Price | None:
        """The price of an extra, where an order meets a bound that is known beforehand."""
        if not self.answer.proven:
            return None
        least = self.answer.totals.seconds + least_added(graph, self.wanted, self.changes, part)
        order = extended(graph, wanted, self.changes, self.answer.order, part)
        if order is None or seconds_of(graph, order, self.changes) > least:
            return None
        return Price(least, least, proven=True, order=order)

    def _priced(self, graph: OperationGraph, answer: Answer) -> Price:
        there = answer.totals.seconds
        if not self.both_ways:
            return Price(there, answer.bound_seconds, answer.proven, answer.order)
        back = way_back_of(graph, answer, self.changes, self.limits)
        return Price(
            there + back.totals.seconds,
            answer.bound_seconds + back.bound_seconds,
            answer.proven and back.proven,
            answer.order,
        )

    def _off(self, part: str) -> Clause:
        reason = Reason(Because.STATE, f"{part} has to be off", self.whole.machine.parts[part].place)
        return Clause((comes_off(part),), reason)

    def _best(self, graph: OperationGraph, wanted: Wanted, watch: Watch | None) -> Answer | None:
        return best_order(graph, wanted, self.changes, Prefer.TIME, self.limits, watch, self._solve)

    def _solve(self, problem: Problem, limits: Limits, progress: Progress | None) -> Result:
        if self.both_ways:  # of several equal ways in, the one that a plan of its own would take
            return solve(problem, limits, progress)
        if self._asked is None:
            self._asked = begin(problem, limits, progress)
            return self._asked.result
        return self._asked.again(problem, limits, progress).result


def way_back_of(graph: OperationGraph, answer: Answer, changes: Changes, limits: Limits) -> Refit:
    """The way back from an order of the way in."""
    way_in = teardown_of(graph, (), answer.order, changes, bound=answer.bound, opens=False)
    return plan_refit(way_in, Prefer.TIME, limits)


_IMPOSSIBLE = Price(None, Fraction(0), proven=True)
