"""What rules of good practice come to where several people work: orders that hold whoever does the steps.

A rule that puts one step directly after another says nothing of what somebody else does meanwhile. What it
does say for all of them: what the second waits for comes before the first, and what waits for the first comes
after the second. A bar goes on when its nut can be reached, and is off before the part is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sequencer.graph.operations import OperationGraph
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import PracticeWhile, Rule, RuleName

Pair = tuple[str, str]
"""The first is done before the second."""


def orders_for_several(graph: OperationGraph, kept: Sequence[Rule], order: Sequence[str]) -> list[Pair]:
    """All orders that the kept rules come to; each is kept by ``order``, that of the plan for one person."""
    job, place = PracticeJob(graph), {name: number for number, name in enumerate(order)}
    found = dict.fromkeys(pair for rule in kept for pair in rule.orders)
    for rule in kept:
        for condition in rule.whiles:
            if condition.after | condition.until <= place.keys():
                outside = place.keys() - condition.only - condition.after - condition.until
                beside = sorted(outside, key=place.__getitem__)
                if condition.lifts:
                    found |= dict.fromkeys(_around(job, condition, beside, place))
                elif rule.name is RuleName.CARRIED:
                    found |= dict.fromkeys(_away(condition, beside, place))
    return list(found)


def _around(
    job: PracticeJob, condition: PracticeWhile, beside: Sequence[str], place: Mapping[str, int]
) -> Iterator[Pair]:
    """What can't come within a run of work, and on which side of it the machine puts it."""
    begin = max(condition.after, key=place.__getitem__)
    end = min(condition.until, key=place.__getitem__)
    for name in beside if place[begin] < place[end] else ():
        if place[name] < place[begin] and job.waits(end, name):
            yield name, begin
        elif place[name] > place[end] and job.waits(name, begin):
            yield end, name


def _away(condition: PracticeWhile, beside: Sequence[str], place: Mapping[str, int]) -> Iterator[Pair]:
    """What is done below, before a weight is taken or after it is away: each as one person does it."""
    taken = max(place[name] for name in condition.after)
    for name in beside:
        if place[name] < taken:
            yield from ((name, on) for on in condition.after)
        else:
            yield from ((off, name) for off in condition.until)
