"""Carried: what takes a weight goes in at the last moment, and nobody works below it meanwhile."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.graph.carrying import load
from sequencer.graph.operations import Kind, Op
from sequencer.machine.model import Task
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.practice.ruled_job import PracticeJob, holds
from sequencer.plan.practice.rules import Dropped, PracticeWhile, Rule, RuleName, Why

_BREAKING = (Kind.CRACK, Kind.SLACKEN, Kind.UNDO)


def carried(job: PracticeJob) -> Iterator[Rule | Dropped]:
    """At the setting up of each task that carries, and at what is done below meanwhile."""
    carrying = [t for t in job.machine.tasks.values() if t.load and not t.rated and _there(job, t)]
    placing: set[str] = {
        name for task in carrying for kind in (Kind.TASK, Kind.RESTORE) if job.has(name := kind.of(task.name))
    }
    for task in carrying:
        on = Kind.TASK.of(task.name)
        first = frozenset(_first(job, task))
        if job.has(on) and first:
            beside = frozenset(n for n in placing if Op(n).kind is Kind.TASK and n != on)
            directly = PracticeWhile(frozenset((on,)), first, beside)
            yield Rule(RuleName.CARRIED, task.name, on, whiles=(_turned(job, directly),))
        yield from _below(job, task, placing)


def _there(job: PracticeJob, task: Task) -> bool:
    return any(job.has(kind.of(task.name)) for kind in (Kind.TASK, Kind.RESTORE))


def _turned(job: PracticeJob, condition: PracticeWhile) -> PracticeWhile:
    """What is said of the order of work, in the time of taking apart."""
    return condition.turned() if job.back else condition


def _first(job: PracticeJob, task: Task) -> Iterator[str]:
    """What the weight is taken for: the first of it comes directly after."""
    if job.back:
        yield from (fit for part in task.load if job.has(fit := job.remove(part)))
        return
    for name in sorted(load(task)):
        part = job.machine.parts[name]
        how = (Holds.BEARING, Holds.LOCATING)
        paths = {joint.path for joint in part.joints.values() if holds(joint) in how}
        for other, op in job.graph.operations.items():
            if op.part == name and (op.subject in paths and op.kind in _BREAKING if paths else True):
                yield other


def _below(job: PracticeJob, task: Task, placing: set[str]) -> Iterator[Rule | Dropped]:
    """Nobody works where it could come down, except on the load, and at what can't be done otherwise."""
    on, off = (kind.of(task.name) for kind in (Kind.TASK, Kind.RESTORE))
    if job.back and not job.has(off):
        return
    own = load(task)
    by_part: dict[str, list[str]] = {}
    for name, op in job.graph.operations.items():
        if not job.machine.positions[op.position].below or op.part in own or name in placing:
            continue
        if _only_meanwhile(job, name, on, off):
            yield Dropped(RuleName.CARRIED, task.name, name, Why.MEANWHILE)
        else:
            by_part.setdefault(op.part or op.subject, []).append(name)
    machine = job.machine
    for thing in dict.fromkeys((*machine.tasks, *machine.fluids, *machine.parts)):
        if not (names := by_part.get(thing)):
            continue
        yield _not_while(job, task, on, off, names)


def _not_while(job: PracticeJob, task: Task, on: str, off: str, names: Sequence[str]) -> Rule:
    """Before it goes in or after it is away; where it stays, or is there from the first, that is an order."""
    if job.has(on) and job.has(off):
        only = frozenset(job.operations).difference(names)
        away = PracticeWhile(frozenset((on,)), frozenset((off,)), only, lifts=False)
        return Rule(RuleName.CARRIED, task.name, names[0], whiles=(_turned(job, away),))
    orders = tuple((name, off if job.back else on) for name in names)
    return Rule(RuleName.CARRIED, task.name, names[0], orders)


def _only_meanwhile(job: PracticeJob, name: str, on: str, off: str) -> bool:
    """Whether it comes between setting up and putting away in every order, as far as these are there."""
    if job.back:  # the order of work is the other way round
        return (not job.has(on) or job.waits(on, name)) and job.waits(name, off)
    return (not job.has(on) or job.waits(name, on)) and (not job.has(off) or job.waits(off, name))
