"""At once: what nothing bears any more comes away, and what is fitted is fastened, where that costs nothing.

This is no rule of the page. Of the orders that keep the rules and cost the same, the one in which the least
comes between is the better: no oil filter hangs on its last thread while a stay is undone. And what is only
slackened to swing a part is taken out when it has swung: a belt is tensioned on a pivot with its bolt in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, groupby

from sequencer.graph.operations import Kind
from sequencer.machine.model import Part
from sequencer.plan.order.replay import is_workable, replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Totals
from sequencer.plan.practice.held import bears, is_heavy
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Rule, kept_by

Order = tuple[str, ...]


def at_once(job: PracticeJob, rules: Sequence[Rule], order: Order, changes: Changes) -> Order:
    """The order of taking apart with less between, where that costs no time, no tool change and no walk."""
    spans, swings = tuple(_spans(job)), tuple(_swings(job))
    totals, least = totals_of(job, order, changes), _untidy(spans, swings, order)
    while any(least):
        for trial in chain(_swung_first(swings, order), _trials(spans, order)):
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


@dataclass(frozen=True)
class _Span:
    """From the last of ``joints``, with which nothing bears a part any more, to its coming away.

    Attributes:
        own: Work on the part itself, and at the helpers of its joints.
        heavy: Whether somebody holds it meanwhile.
    """

    joints: frozenset[str]
    away: str
    own: frozenset[str]
    heavy: bool

    def ends(self, order: Order) -> tuple[int, int]:
        """Where it begins and ends."""
        return max(order.index(name) for name in self.joints), order.index(self.away)


def _spans(job: PracticeJob) -> Iterator[_Span]:
    """Those of the parts that neither stay by themselves nor are carried."""
    carried = {part for task in job.machine.tasks.values() for part in task.load}
    for part in job.parts():
        aside = part.aside is not None and job.has(job.move_aside(part.name))
        away = job.move_aside(part.name) if aside else job.remove(part.name)
        if not job.has(away) or part.hold is False or part.name in carried:
            continue
        names = part.aside.joints if aside and part.aside else tuple(part.joints)
        undone = {name for name in names if job.has(job.undo(part.joints[name]))}
        bearing = {name for name, joint in part.joints.items() if bears(joint)}
        if undone and bearing <= undone:
            joints = frozenset(job.undo(part.joints[name]) for name in (bearing or undone))
            yield _Span(joints, away, frozenset(_own(job, part)), is_heavy(part))


def _own(job: PracticeJob, part: Part) -> Iterator[str]:
    paths = {joint.path for joint in part.joints.values()}
    for name, op in job.graph.operations.items():
        task = job.machine.tasks.get(op.subject) if op.kind in (Kind.TASK, Kind.RESTORE) else None
        if op.part == part.name or (task and task.steadies(paths)):
            yield name


def _swings(job: PracticeJob) -> Iterator[tuple[str, str, str]]:
    """Each joint that is slackened to swing its part, and undone as well: the swing, the joint, the end."""
    kind = Kind.SEAT if job.back else Kind.LOOSEN
    for part in job.parts():
        swing, away = kind.of(part.name), job.remove(part.name)
        for name in part.loose.joints if part.loose and job.has(swing) and job.has(away) else ():
            if job.has(undo := job.undo(part.joints[name])):
                yield swing, undo, away


def _untidy(
    spans: Sequence[_Span], swings: Sequence[tuple[str, str, str]], order: Order
) -> tuple[int, int, int]:
    """Steps between with a part in hand; joints out before their part swings; all steps between."""
    early = sum(order.index(undo) < order.index(swing) for swing, undo, _ in swings)
    heavy = every = 0
    for span in spans:
        first, last = span.ends(order)
        count = sum(name not in span.own for name in order[first + 1 : last])
        heavy += count * span.heavy
        every += count
    return heavy, early, every


def _swung_first(swings: Sequence[tuple[str, str, str]], order: Order) -> Iterator[Order]:
    """A joint that is out too early undone at each later place."""
    for swing, undo, away in swings:
        old = order.index(undo)
        if old < order.index(swing):
            rest = (*order[:old], *order[old + 1 :])
            for place in range(order.index(swing), order.index(away)):
                yield (*rest[:place], undo, *rest[place:])


def _trials(spans: Sequence[_Span], order: Order) -> Iterator[Order]:
    """The part earlier, its last joint later, or the others before or after."""
    for span in spans:
        first, last = span.ends(order)
        head, joint, away, tail = (
            order[:first],
            order[first : first + 1],
            order[last : last + 1],
            order[last + 1 :],
        )
        runs = [tuple(run) for _, run in groupby(order[first + 1 : last], key=span.own.__contains__)]
        between = order[first + 1 : last]
        if all(name in span.own for name in between):
            continue
        yield (*head, *joint, *away, *between, *tail)
        if runs[0][0] not in span.own:
            yield (*head, *runs[0], *joint, *between[len(runs[0]) :], *away, *tail)
        for number, run in enumerate(runs):
            if run[0] not in span.own:
                rest = [name for other in (*runs[:number], *runs[number + 1 :]) for name in other]
                yield (*head, *run, *joint, *rest, *away, *tail)
                yield (*head, *joint, *rest, *away, *run, *tail)
