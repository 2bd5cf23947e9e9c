"""At once: what nothing bears any more comes away, and what is fitted is fastened, where that costs nothing.

This is no rule of the page. Of the orders that keep the rules and cost the same, the one in which the least
comes between is the better: no oil filter hangs on its last thread while a stay is undone, no gearbox in its
sling; the sling is put away when nothing hangs in it, and no guard is fitted over bolts that are only snug.
And what is only slackened to swing a part is taken out when it has swung: a belt is tensioned on a pivot with
its bolt in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from itertools import chain, groupby, pairwise, product

from sequencer.graph.operations import Kind
from sequencer.graph.serving import breaking, tightening
from sequencer.machine.model import Part
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.order.replay import is_workable, replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Totals
from sequencer.plan.practice.held import bears, is_heavy
from sequencer.plan.practice.ruled_job import PracticeJob, holds
from sequencer.plan.practice.rules import Rule, kept_by, orders_of

Order = tuple[str, ...]

SPRING = "spring"
"""The kind of a joint that pulls at its part."""

MOVES = frozenset((Kind.FIT, Kind.MOVE_BACK))
"""A part that comes back."""


def at_once(job: PracticeJob, rules: Sequence[Rule], order: Order, changes: Changes) -> Order:
    """The order of taking apart with less between, where that costs no time, no tool change and no walk."""
    spans, swings = (
        (*_spans(job), *_standing(job), *_set_up(job), *_stood_on(job), *_snug(job, rules)),
        tuple(_swings(job)),
    )
    totals, least = totals_of(job, order, changes), _untidy(spans, swings, order)
    while any(least):
        for trial in chain(_swung_first(swings, order), _trials(job, spans, order)):
            if (
                (found := _untidy(spans, swings, trial)) < least
                and totals_of(job, trial, changes).no_worse(totals)
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


class _Kind(IntEnum):
    """What is so for as long as a span lasts, the worst first."""

    HELD = 0
    """Somebody has a heavy part in hand."""
    HUNG = 1
    """A part hangs in what carries it."""
    EASED = 2
    """What is slackened to swing a part is out before it swings, or what bears it before its spring."""
    LOOSE = 3
    """A part is held by nothing, and light."""
    STANDING = 4
    """A support stands that carries nothing, or a helper before it is needed."""
    GONE = 5
    """What another task stands on has been put away: the chocks, with work still to be done."""
    SNUG = 6
    """A joint is snug that could have its torque."""


@dataclass(frozen=True)
class _Span:
    """From the last of ``begin`` (none: the outset) to the first of ``end``, in the time of taking apart.

    Attributes:
        own: What may well come between: work on the part itself, and at the helpers of its joints.
        helpers: What is set up for it, or put away.
    """

    kind: _Kind
    begin: frozenset[str]
    end: frozenset[str]
    own: frozenset[str]
    helpers: frozenset[str] = frozenset()

    def ends(self, place: Mapping[str, int]) -> tuple[int, int]:
        """Where it begins and ends, by the ``place`` of each step in an order."""
        first = max((place[name] for name in self.begin), default=-1)
        return first, min(place[name] for name in self.end)


def _spans(job: PracticeJob) -> Iterator[_Span]:
    """From the joints with which nothing bears a part any more to its coming away; not where it stays so."""
    carried = {part for task in job.machine.tasks.values() for part in task.load}
    for part in job.parts():
        aside = part.aside is not None and job.has(job.move_aside(part.name))
        away = job.move_aside(part.name) if aside else job.remove(part.name)
        if not job.has(away) or part.hold is False:
            continue
        names = part.aside.joints if aside and part.aside else tuple(part.joints)
        undone = {name for name in names if job.has(job.undo(part.joints[name]))}
        bearing = {name for name, joint in part.joints.items() if bears(joint)}
        if undone and bearing <= undone:
            joints = frozenset(job.undo(part.joints[name]) for name in (bearing or undone))
            hung = part.name in carried
            kind = _Kind.HUNG if hung else _Kind.HELD if is_heavy(part) else _Kind.LOOSE
            slight = (job.undo(joint) for joint in part.joints.values() if holds(joint) is Holds.SLIGHT)
            helpers = frozenset(_helpers(job, part))
            own = helpers.union(name for name, op in job.graph.operations.items() if op.part == part.name)
            own = own.difference(slight if hung else ())  # the plug comes first
            yield _Span(kind, joints, frozenset((away,)), own, helpers)


def _standing(job: PracticeJob) -> Iterator[_Span]:
    """From where a support could be put away to its putting away, in the order of work; not rated ones.

    Its load may well get its torque first.
    """
    supports = [task for task in job.machine.tasks.values() if task.load and not task.rated]
    putting = frozenset(Kind.RESTORE.of(task.name) for task in supports)
    for task in supports:
        if not job.has(away := Kind.RESTORE.of(task.name)):
            continue
        if job.back:
            borne = frozenset(name for name, _ in job.clauses_on(away))
        else:
            borne = frozenset(name for clause in job.graph.needs[away] for name in clause.any_of)
        if borne:
            itself = frozenset((away,))
            begin, end = (itself, borne) if job.back else (borne, itself)
            torques = (n for n, op in job.graph.operations.items() if op.kind is Kind.TORQUE)
            loads = (name for name in torques if job.operation(name).part in task.load)
            yield _Span(_Kind.STANDING, begin, end, putting.union(loads))


def _set_up(job: PracticeJob) -> Iterator[_Span]:
    """From the setting up of a helper to the joint that it is for, where no rule keeps them together."""
    found = tightening if job.back else breaking
    tasks = job.machine.tasks.values()
    every = frozenset(kind.of(t.name) for t in tasks if t.helps for kind in (Kind.TASK, Kind.RESTORE))
    for task in tasks:
        names = (found(path, job.operations) for path in task.steadied)
        turned = frozenset(name for name in names if name)
        if turned and job.has(on := Kind.TASK.of(task.name)):
            begin, end = (turned, frozenset((on,))) if job.back else (frozenset((on,)), turned)
            yield _Span(_Kind.STANDING, begin, end, every | turned)


def _stood_on(job: PracticeJob) -> Iterator[_Span]:
    """On the way back, from the putting away of what only other tasks stand on to the end of all work."""
    tasks = job.machine.tasks
    asked = {name for part in job.parts() for name in part.needs}
    asked |= {name for joint in job.joints() for name in joint.needs}
    ends = frozenset(Kind.RESTORE.of(name) for name in job.machine.first)
    for name in dict.fromkeys(one for task in tasks.values() for one in task.after):
        away = Kind.RESTORE.of(name)
        if job.back and job.has(away) and away not in ends and name not in asked and not tasks[name].helps:
            yield _Span(_Kind.GONE, frozenset(), frozenset((away,)), ends)


def _snug(job: PracticeJob, rules: Sequence[Rule]) -> Iterator[_Span]:
    """From the torque of a joint back to its fastening, with what need not be fitted there in between."""
    if not job.back:
        return
    asked = job.with_orders(orders_of(rules))
    fits = frozenset(name for name, op in job.graph.operations.items() if op.kind in MOVES)
    for joint in job.joints():
        torque, fasten = job.torque(joint), job.undo(joint)
        if job.has(torque) and job.has(fasten):
            here = job.operation(torque).position
            idle = (name for name in fits - asked.waiting_for(torque) if job.operation(name).position == here)
            own = frozenset(job.operations).difference(idle)
            yield _Span(_Kind.SNUG, frozenset((torque,)), frozenset((fasten,)), own)


def _helpers(job: PracticeJob, part: Part) -> Iterator[str]:
    """Setting up and putting away what carries a part, or is set up for its joints."""
    paths = {joint.path for joint in part.joints.values()}
    for name, op in job.graph.operations.items():
        task = job.machine.tasks.get(op.subject) if op.kind in (Kind.TASK, Kind.RESTORE) else None
        if task and (task.steadies(paths) or part.name in task.load):
            yield name


def _swings(job: PracticeJob) -> Iterator[tuple[str, str, str]]:
    """What should come first, a joint, and the end: the swing of a part, and its joints that were slackened.

    A spring likewise comes first, before what bears its part, and on the way back last.
    """
    kind = Kind.SEAT if job.back else Kind.LOOSEN
    for part in job.parts():
        swing, away = kind.of(part.name), job.remove(part.name)
        for name in part.loose.joints if part.loose and job.has(swing) and job.has(away) else ():
            if job.has(undo := job.undo(part.joints[name])):
                yield swing, undo, away
        springs = [job.undo(joint) for joint in part.joints.values() if joint.kind == SPRING]
        borne = [job.undo(joint) for joint in part.joints.values() if bears(joint) and joint.kind != SPRING]
        for spring, undo in product(filter(job.has, springs), filter(job.has, borne)):
            if job.has(away):
                yield spring, undo, away


def _untidy(spans: Sequence[_Span], swings: Sequence[tuple[str, str, str]], order: Order) -> tuple[int, ...]:
    """The steps between, for each kind."""
    place = _places(order)
    found = [0] * len(_Kind)
    found[_Kind.EASED] = sum(place[undo] < place[swing] for swing, undo, _ in swings)
    for span in spans:
        first, last = span.ends(place)
        found[span.kind] += sum(name not in span.own for name in order[first + 1 : last])
    return tuple(found)


def _places(order: Order) -> dict[str, int]:
    return {name: number for number, name in enumerate(order)}


def _swung_first(swings: Sequence[tuple[str, str, str]], order: Order) -> Iterator[Order]:
    """A joint that is out too early undone at each later place."""
    for swing, undo, away in swings:
        old = order.index(undo)
        if old < order.index(swing):
            rest = (*order[:old], *order[old + 1 :])
            for place in range(order.index(swing), order.index(away)):
                yield (*rest[:place], undo, *rest[place:])


def _trials(job: PracticeJob, spans: Sequence[_Span], order: Order) -> Iterator[Order]:
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
        runs = [tuple(run) for _, run in groupby(between, key=span.own.__contains__)]
        for number, run in enumerate(runs):
            if run[0] not in span.own:
                rest = [name for other in (*runs[:number], *runs[number + 1 :]) for name in other]
                yield (*head, *run, *joint, *rest, *away, *tail)
                yield (*head, *joint, *rest, *away, *run, *tail)
                if span.kind not in (_Kind.LOOSE, _Kind.SNUG):
                    yield from _beside_its_like(job, run, (*head, *joint, *rest, *away, *tail))


def _beside_its_like(job: PracticeJob, run: Order, rest: Order) -> Iterator[Order]:
    """The run put in wherever work of the same place and tool ends or begins."""

    def set_up(name: str) -> tuple[str, str]:
        return job.operation(name).position, job.operation(name).tool

    for place, (before, after) in enumerate(pairwise(map(set_up, rest)), start=1):
        if before != after and (before == set_up(run[0]) or after == set_up(run[-1])):
            yield (*rest[:place], *run, *rest[place:])
