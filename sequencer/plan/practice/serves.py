"""Serves: a helper goes on directly before the joint that it is for, and comes off directly after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

from sequencer.graph.operations import Kind
from sequencer.graph.serving import breaking, tightening
from sequencer.machine.model import Task
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import PracticeWhile, Rule, RuleName, orders_of


def serves(job: PracticeJob, before: Sequence[Rule]) -> Iterator[Rule]:
    """At the setting up and at the putting away of each task that serves a joint of the job.

    Several helpers of one joint go on one after the other, and come off so. What the next joint waits for may
    come between, be it for the machine or by a rule that is kept ``before``: dowels go in before the bolt. To
    those belong the rules of the helpers before this one: ``before`` may grow as they are told.
    """
    for task in job.machine.tasks.values():
        turned = _turned(job, task)
        if not turned:
            continue
        on, off = Kind.TASK.of(task.name), Kind.RESTORE.of(task.name)
        beside = frozenset(_beside(job, task))
        first = PracticeWhile(frozenset((on,)), frozenset(turned), beside)
        after = PracticeWhile(frozenset(turned), frozenset((off,)), beside)
        if job.has(on):
            yield _rule(job, task, on, (first,))
        waiting = _with_rules(job, before) if len(turned) > 1 else job
        between = frozenset((*turned, *beside, *_waited_for(waiting, turned)))
        whiles = [
            PracticeWhile(frozenset((a,)), frozenset((b,)), between) for a, b in permutations(turned, 2)
        ]
        if job.has(off):
            whiles.append(after)
        if whiles:
            yield _rule(job, task, next(n for n in (off, on, turned[-1]) if job.has(n)), whiles)


def _rule(job: PracticeJob, task: Task, at: str, whiles: Sequence[PracticeWhile]) -> Rule:
    """What is said of the order of work, in the time of taking apart."""
    turned = tuple(w.turned() for w in whiles) if job.back else tuple(whiles)
    return Rule(RuleName.SERVES, task.name, at, whiles=turned)


def _with_rules(job: PracticeJob, rules: Sequence[Rule]) -> PracticeJob:
    """The job with the orders that rules ask for, and those that their runs of work come to."""
    found = job.with_orders(orders_of(rules))
    while True:
        told = (pair for rule in rules for run in rule.whiles for pair in _comes_to(found, run))
        new = {(one, other): None for one, other in told if not found.waits(other, one)}
        if not new:
            return found
        found = found.with_orders(new)


def _comes_to(job: PracticeJob, run: PracticeWhile) -> Iterator[tuple[str, str]]:
    """What may not come within a run and can't come before its beginning comes after it, and the reverse."""
    others = [n for n in job.operations if n not in run.only and n not in run.until and n not in run.after]
    if len(run.until) == 1:
        (end,) = run.until
        yield from ((end, name) for name in others if all(job.waits(name, one) for one in run.after))
    if len(run.after) == 1:
        (begin,) = run.after
        yield from ((name, begin) for name in others if all(job.waits(one, name) for one in run.until))


def _turned(job: PracticeJob, task: Task) -> tuple[str, ...]:
    """What the task is there for: breaking its joints loose, or tightening them for good."""
    found = tightening if job.back else breaking
    return tuple(dict.fromkeys(name for path in task.steadied if (name := found(path, job.operations))))


def _waited_for(job: PracticeJob, turned: Sequence[str]) -> Iterator[str]:
    """All that one of them waits for, in the order of work."""
    for name in turned:
        if job.back:
            yield from job.waiting_for(name)
        else:
            yield from (other for other in job.operations if job.waits(name, other))


def _beside(job: PracticeJob, task: Task) -> Iterator[str]:
    """Setting up and putting away what serves the same joints."""
    for other in job.machine.tasks.values():
        if other is not task and other.steadies(task.steadied):
            names = (kind.of(other.name) for kind in (Kind.TASK, Kind.RESTORE))
            yield from (name for name in names if job.has(name))
