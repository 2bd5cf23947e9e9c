"""At once: what nothing bears any more comes away, and what is fitted is fastened, where that costs nothing.

This is no rule of the page. Of the orders that keep the rules and cost the same, the one in which the least
comes between is the better: no oil filter hangs on its last thread while a stay is undone, no gearbox in its
sling; the sling is put away when nothing hangs in it, and no guard is fitted over bolts that are only snug.
And what is only slackened to swing a part is taken out when it has swung: a belt is tensioned on a pivot with
its bolt in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, groupby, pairwise
from math import lcm

from sequencer.plan.order.replay import is_workable, replay
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.plan import Totals
from sequencer.plan.practice.firsts import First, firsts_of
from sequencer.plan.practice.meanwhile import Between, Meanwhile, meanwhiles_of
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Rule, kept_by

Order = tuple[str, ...]


def at_once(job: PracticeJob, rules: Sequence[Rule], order: Order, changes: Changes) -> Order:
    """The order of taking apart with less between, where that costs no time, no tool change and no walk."""
    spans, firsts = meanwhiles_of(job, rules), tuple(firsts_of(job))
    costs = _Costs(job, changes)
    most, least = costs.of(order), _untidy(spans, firsts, order)
    while any(least):
        for trial in chain(_in_turn(firsts, order), _trials(job, spans, order)):
            if (
                (found := _untidy(spans, firsts, trial)) < least
                and all(cost <= old for cost, old in zip(costs.of(trial), most, strict=True))
                and is_workable(job.graph, trial)
                and all(kept_by(rules, trial))
            ):
                order, least = trial, found
                break
        else:
            break
    return order


def totals_of(job: PracticeJob, order: Sequence[str], changes: Changes) -> Totals:
    """What an order costs; that of the way back is in reversed time, and costs are those of the work."""
    return Totals.of(replay(job.graph, order[::-1] if job.back else order, changes))


@dataclass(frozen=True)
class _Costs:
    """What comes between the steps of the orders of one job: all that differs from order to order."""

    job: PracticeJob
    changes: Changes

    @cached_property
    def _every(self) -> list[Setup]:
        """What the steps are done with and where, each once; then where the work may begin."""
        own = dict.fromkeys(Setup(op.position, op.tool) for op in self.job.graph.operations.values())
        return list(dict.fromkeys((*own, *(self.changes.start(here.position) for here in own))))

    @cached_property
    def _number(self) -> dict[str, int]:
        """The place of each step's set-up among them."""
        known = {here: number for number, here in enumerate(self._every)}
        return {n: known[Setup(op.position, op.tool)] for n, op in self.job.graph.operations.items()}

    @cached_property
    def _between(self) -> list[list[tuple[int, bool, bool]]]:
        """Time in whole numbers of one unit, whether the tool changes, whether the place does."""
        exact = [[self.changes.seconds(one, here) for here in self._every] for one in self._every]
        unit = lcm(*(seconds.denominator for row in exact for seconds in row))
        return [
            [
                (
                    int(seconds * unit),
                    Changes.is_tool_change(one.tool, here.tool),
                    one.position != here.position,
                )
                for here, seconds in zip(self._every, row, strict=True)
            ]
            for one, row in zip(self._every, exact, strict=True)
        ]

    def of(self, order: Order) -> tuple[int, int, int]:
        """Time, tool changes and walks of an order of taking apart."""
        if not order:
            return 0, 0, 0
        work = [self._number[name] for name in (order[::-1] if self.job.back else order)]
        start = self._every.index(self.changes.start(self._every[work[0]].position))
        found = [self._between[one][here] for one, here in pairwise((start, *work))]
        time, tools, walks = map(sum, zip(*found, strict=True))
        return time, tools, walks


def _untidy(spans: Sequence[Meanwhile], firsts: Sequence[First], order: Order) -> tuple[int, ...]:
    """The steps between, for each kind."""
    place = _places(order)
    found = [0] * len(Between)
    found[Between.EASED] = sum(place[later] < place[first] for first, later, _ in firsts)
    for span in spans:
        first, last = span.ends(place)
        if last > first + 1:
            found[span.kind] += len(set(order[first + 1 : last]).difference(span.own))
    return tuple(found)


def _places(order: Order) -> dict[str, int]:
    return {name: number for number, name in enumerate(order)}


def _in_turn(firsts: Sequence[First], order: Order) -> Iterator[Order]:
    """What is let go too early done at each later place, or what comes too late directly before it."""
    for first, later, end in firsts:
        early, late = order.index(later), order.index(first)
        if early < late:
            rest = (*order[:early], *order[early + 1 :])
            for place in range(late, order.index(end)):
                yield (*rest[:place], later, *rest[place:])
            yield (*order[:early], first, *order[early:late], *order[late + 1 :])


def _trials(job: PracticeJob, spans: Sequence[Meanwhile], order: Order) -> Iterator[Order]:
    """The part earlier, its last joint later, or what is between before or after: together, or run by run.

    What is set up for the part moves with its joint, and with the part.
    """
    place = _places(order)
    for span in spans:
        first, last = span.ends(place)
        between = order[first + 1 : last]
        if all(name in span.own for name in between):
            continue
        begin, end = max(first, 0), last + 1
        while begin > 0 and first >= 0 and order[begin - 1] in span.helpers:
            begin -= 1
        while end < len(order) and order[end] in span.helpers:
            end += 1
        head, joint = order[:begin], order[begin : first + 1]
        away, tail = order[last:end], order[end:]
        own = tuple(name for name in between if name in span.own)
        others = tuple(name for name in between if name not in span.own)
        yield (*head, *joint, *away, *between, *tail)
        yield (*head, *others, *joint, *own, *away, *tail)
        yield (*head, *joint, *own, *away, *others, *tail)
        if span.kind in (Between.HALF, Between.STANDING):
            for number, _, _ in reversed([*_changes(job, between)]):
                yield (*head, *between[:number], *joint, *between[number:], *away, *tail)
        runs = [tuple(run) for _, run in groupby(between, key=span.own.__contains__)]
        for number, run in enumerate(runs):
            if run[0] not in span.own:
                rest = [name for other in (*runs[:number], *runs[number + 1 :]) for name in other]
                yield (*head, *run, *joint, *rest, *away, *tail)
                yield (*head, *joint, *rest, *away, *run, *tail)
                if span.kind not in (Between.LOOSE, Between.SNUG):
                    yield from _beside_its_like(job, run, (*head, *joint, *rest, *away, *tail))


def _beside_its_like(job: PracticeJob, run: Order, rest: Order) -> Iterator[Order]:
    """The run put in wherever work of the same place and tool ends or begins."""
    for place, before, after in _changes(job, rest):
        if before == _at_with(job, run[0]) or after == _at_with(job, run[-1]):
            yield (*rest[:place], *run, *rest[place:])


SetUp = tuple[str, str]
"""Where one works, and with what."""


def _changes(job: PracticeJob, order: Sequence[str]) -> Iterator[tuple[int, SetUp, SetUp]]:
    """Where place or tool changes in an order, from what to what."""
    for place, (before, after) in enumerate(pairwise(_at_with(job, name) for name in order), start=1):
        if before != after:
            yield place, before, after


def _at_with(job: PracticeJob, name: str) -> SetUp:
    return job.operation(name).position, job.operation(name).tool
