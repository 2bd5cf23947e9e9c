"""Both ways of a job under way: as it was begun, as it stands, or as it was turned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sequencer.engine.problem import Limits
from sequencer.graph.operations import OperationGraph
from sequencer.job.now.moment import Moment
from sequencer.machine.model import HAND
from sequencer.plan.answer import Watch
from sequencer.plan.onward.turned import as_planned, plan_back, renumbered
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import opened_by, replay, teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Refit, Step, Teardown
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown

Order = tuple[tuple[int, str], ...]
"""Steps by number and operation."""


@dataclass(frozen=True)
class Ways:
    """The way in under the numbers that the job goes by, and the way back; None where it is left out."""

    into: Teardown
    back: Refit | None


def both_ways(moment: Moment, into: Limits, back: Limits | None, watch: Watch | None = None) -> Ways:
    """The way in and the way back of a job.

    A job that has turned goes by what was really taken apart. Another goes by its own order, held to a fresh
    plan's bound, and its way back is the reverse of that; or, where something was done that the file does not
    allow, a way back from where the job will stand.

    Args:
        moment: The job.
        into: When to stop looking for a shorter way in.
        back: The same for the way back; None leaves it out.
        watch: Told how the search gets on.

    Raises:
        UnreachableError: The machine file no longer lets the targets be reached.
    """
    if moment.state.turned:
        turned = _as_turned(moment)
        return turned if back is not None else replace(turned, back=None)
    prefer, order = Prefer(moment.card.prefer), order_of(moment)
    fresh = plan_teardown(moment.machine, moment.targets, prefer, into, watch, moment.practice)
    begun = replace(_as_begun(fresh, order, moment.whole), practice=moment.plan.practice)
    if back is None:
        return Ways(begun, None)
    if any(tick.anyway for tick in moment.state.ticks.values()):
        return Ways(begun, _as_it_stands(moment, order, prefer, back))
    return Ways(begun, plan_refit(begun, prefer, back, watch, moment.practice))


def ways_now(moment: Moment) -> Ways:
    """The way in of a job, what is done of it included; of one that has turned, both ways as they really are.

    No order is looked for, and nothing is known of how good it is.
    """
    if moment.state.turned:
        return _as_turned(moment)
    order = order_of(moment)
    prefer, changes = Prefer(moment.card.prefer), Changes.of(moment.machine)
    names = [op for _, op in order]
    plan = teardown_of(moment.whole.restricted(names), moment.targets, names, changes, prefer, opens=False)
    return Ways(replace(plan, steps=_under(plan.steps, order)), None)


def order_of(moment: Moment) -> Order:
    """The steps of the way in under their numbers: those behind the present plan, then the plan's own.

    A plan that was made in the middle of a job begins there; what was done before it stands in front.
    """
    state, whole = moment.state, moment.whole.operations
    planned = {op for _, op in state.steps}
    ticks = [tick for tick in (*state.ticks.values(), *state.skipped.values()) if not tick.back]
    behind = sorted((tick for tick in ticks if tick.op not in planned), key=lambda tick: tick.time)
    free = max((number for number, _ in state.steps), default=0) + 1
    order = [(free + n if tick.number is None else tick.number, tick.op) for n, tick in enumerate(behind)]
    return tuple((number, op) for number, op in (*order, *state.steps) if op in whole)


def ticked(moment: Moment) -> dict[bool, dict[str, str]]:
    """What is ``done``, and what ``skipped``, of the way in (False) and of the way back (True), by operation.

    Setting up and putting away what serves belong to both ways, each time anew.
    """
    state = moment.state
    told: dict[bool, dict[str, str]] = {False: dict.fromkeys(state.done, "done"), True: {}}
    for word, ticks in (("done", state.ticks), ("skipped", state.skipped)):
        for op, tick in ticks.items():
            told[tick.back][op] = word
    return told


def _as_begun(fresh: Teardown, order: Order, whole: OperationGraph) -> Teardown:
    """The plan in the order and with the numbers that a job goes by, held to the bound of a fresh one."""
    names = [op for _, op in order]
    if not names or names == [op.name for op in fresh.operations]:
        return fresh
    graph = whole.restricted(names)
    steps = replay(graph, names, Changes.of(fresh.machine), opened_by(graph, names))
    begun = replace(fresh, graph=graph, steps=_under(steps, order))
    if fresh.bound is None:
        return begun
    seconds = min(fresh.bound.seconds, begun.totals.seconds)
    reached = fresh.bound.reached and begun.totals == fresh.totals
    return replace(begun, bound=replace(fresh.bound, seconds=seconds, reached=reached))


def _under(steps: Sequence[Step], order: Order) -> tuple[Step, ...]:
    """Steps under the numbers of an order."""
    return tuple(replace(step, number=number) for step, (number, _) in zip(steps, order, strict=True))


def _as_it_stands(moment: Moment, order: Order, prefer: Prefer, limits: Limits) -> Refit:
    """The way back from where a job will stand when all of its way in is done."""
    done = tuple(op for _, op in order if op not in moment.state.skipped)
    there = replace(moment.present, done=done, back=(), tool=HAND, position=None)
    return plan_back(moment.machine, moment.targets, there, prefer, limits, practice=moment.practice).refit


def _as_turned(moment: Moment) -> Ways:
    """What was really taken apart, and the way back that the job goes by, what is done of it included."""
    start = replace(moment.present, back=(), tool=HAND, position=None)
    order = [op for _, op in moment.state.steps]
    back = as_planned(moment.machine, moment.targets, start, order, Prefer(moment.card.prefer)).refit
    back = renumbered(back, moment.state.numbers, moment.state.before_turning)
    known: dict[str, int | None] = {op: tick.number for op, tick in moment.state.ticks.items()}
    steps = back.teardown.steps
    numbers = [known.get(step.operation.name) for step in steps]
    if None not in numbers and len(set(numbers)) == len(numbers):
        steps = tuple(replace(step, number=n or 0) for step, n in zip(steps, numbers, strict=True))
    return Ways(replace(back.teardown, steps=steps), back)
