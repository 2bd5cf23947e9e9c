"""While what is so nothing else should be done, where it costs nothing to do it before or after.

This is no rule of the page: of orders that keep the rules and cost the same, `at_once` takes the one in which
the least comes between.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

from sequencer.graph.operations import Kind
from sequencer.graph.serving import breaking, tightening
from sequencer.machine.model import Joint, Part
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.practice.held import bears, is_heavy
from sequencer.plan.practice.ruled_job import PracticeJob, holds
from sequencer.plan.practice.rules import Rule, orders_of

MOVES = frozenset((Kind.FIT, Kind.MOVE_BACK))
"""A part that comes back."""


class Between(IntEnum):
    """What is so for as long as a span lasts, the worst first."""

    HELD = 0
    """Somebody has a heavy part in hand."""
    HUNG = 1
    """A part hangs in what carries it."""
    EASED = 2
    """What should be let go first is not: the swing of a part, its spring, what holds a cracked joint."""
    HALF = 3
    """A heavy part hangs on some of what bears it: a broom on one of its bearings."""
    LOOSE = 4
    """A part is held by nothing, and light."""
    STANDING = 5
    """A support stands that carries nothing, or a helper before it is needed."""
    GONE = 6
    """What another task stands on has been put away: the chocks, with work still to be done."""
    SNUG = 7
    """A joint is snug that could have its torque."""


@dataclass(frozen=True)
class Meanwhile:
    """From the last of ``begin`` (none: the outset) to the first of ``end``, in the time of taking apart.

    Attributes:
        own: What may well come between: work on the part itself, and at the helpers of its joints.
        helpers: What is set up for it, or put away.
    """

    kind: Between
    begin: frozenset[str]
    end: frozenset[str]
    own: frozenset[str]
    helpers: frozenset[str] = frozenset()

    def ends(self, place: Mapping[str, int]) -> tuple[int, int]:
        """Where it begins and ends, by the ``place`` of each step in an order."""
        first = max((place[name] for name in self.begin), default=-1)
        return first, min(place[name] for name in self.end)


def meanwhiles_of(job: PracticeJob, rules: Sequence[Rule]) -> tuple[Meanwhile, ...]:
    """All that is so for a while in a job; ``rules`` are those that are kept."""
    return (*_hanging(job), *_standing(job), *_set_up(job), *_stood_on(job), *_snug(job, rules))


def _hanging(job: PracticeJob) -> Iterator[Meanwhile]:
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
            firm = {name for name in bearing if not part.joints[name].settle} or bearing or undone
            joints = frozenset(job.undo(part.joints[name]) for name in firm)
            hung = part.name in carried
            kind = Between.HUNG if hung else Between.HELD if is_heavy(part) else Between.LOOSE
            helpers = frozenset(_helpers(job, part))
            own = helpers.union(name for name, op in job.graph.operations.items() if op.part == part.name)
            own = own.difference(map(job.undo, _first_off(part, firm, hung=hung)))
            end = frozenset((away,))
            yield Meanwhile(kind, joints, end, own, helpers)
            for joint in sorted(joints) if kind is Between.HELD and len(joints) > 1 else ():
                yield Meanwhile(Between.HALF, frozenset((joint,)), end, own)


def _first_off(part: Part, firm: Collection[str], *, hung: bool) -> Iterator[Joint]:
    """The joints by which no heavy part is left hanging: a plug comes first, and so does a hose or a stay."""
    for name, joint in part.joints.items():
        slight = holds(joint) is Holds.SLIGHT
        if slight if hung else is_heavy(part) and name not in firm and holds(joint) is not Holds.LOCATING:
            yield joint


def _standing(job: PracticeJob) -> Iterator[Meanwhile]:
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
            yield Meanwhile(Between.STANDING, begin, end, putting.union(loads))


def _set_up(job: PracticeJob) -> Iterator[Meanwhile]:
    """From the setting up of a helper to the joint that it is for, where no rule keeps them together."""
    found = tightening if job.back else breaking
    tasks = job.machine.tasks.values()
    every = frozenset(kind.of(t.name) for t in tasks if t.helps for kind in (Kind.TASK, Kind.RESTORE))
    for task in tasks:
        names = (found(path, job.operations) for path in task.steadied)
        turned = frozenset(name for name in names if name)
        if turned and job.has(on := Kind.TASK.of(task.name)):
            begin, end = (turned, frozenset((on,))) if job.back else (frozenset((on,)), turned)
            yield Meanwhile(Between.STANDING, begin, end, every | turned)


def _stood_on(job: PracticeJob) -> Iterator[Meanwhile]:
    """On the way back, from the putting away of what only other tasks stand on to the end of all work."""
    tasks = job.machine.tasks
    asked = {name for part in job.parts() for name in part.needs}
    asked |= {name for joint in job.joints() for name in joint.needs}
    ends = frozenset(Kind.RESTORE.of(name) for name in job.machine.first)
    for name in dict.fromkeys(one for task in tasks.values() for one in task.after):
        away = Kind.RESTORE.of(name)
        if job.back and job.has(away) and away not in ends and name not in asked and not tasks[name].helps:
            yield Meanwhile(Between.GONE, frozenset(), frozenset((away,)), ends)


def _snug(job: PracticeJob, rules: Sequence[Rule]) -> Iterator[Meanwhile]:
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
            yield Meanwhile(Between.SNUG, frozenset((torque,)), frozenset((fasten,)), own)


def _helpers(job: PracticeJob, part: Part) -> Iterator[str]:
    """Setting up and putting away what carries a part, or is set up for its joints."""
    paths = {joint.path for joint in part.joints.values()}
    for name, op in job.graph.operations.items():
        task = job.machine.tasks.get(op.subject) if op.kind in (Kind.TASK, Kind.RESTORE) else None
        if task and (task.steadies(paths) or part.name in task.load):
            yield name
