"""Planning from the present state: what is left, in the order that the person already knows.

After a discovery two orders are compared: the former one with what is new put in at its cheapest places, and
the best of all. The second is taken only where it saves more than a stated amount.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine import solve
from sequencer.engine.problem import Limits, Status
from sequencer.errors import SequencerError
from sequencer.graph import Target, UnreachableError, derive, explain_conflict, goals, narrowed
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import Clause, Kind, Op, OperationGraph, Reason
from sequencer.graph.reach import nearest_choice, possible
from sequencer.machine.model import Machine
from sequencer.plan.hours.known_order import ANY_ORDER, order_of_the_rest, signed
from sequencer.plan.onward.present import Present, due_as_well, met, remaining, too_late
from sequencer.plan.order.naive import top_to_bottom
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import replay, teardown_of
from sequencer.plan.plan import Bound, Teardown, Totals
from sequencer.plan.practice.rules import Practice
from sequencer.plan.question import ask

RESHUFFLE_SECONDS = Fraction(120)
"""What another order has to save before the one that the person knows is given up (common practice: two
minutes are soon lost again over an order that changes under your hands)."""

RESUME_LIMITS = Limits(states=4000, seconds=0.4)
"""For the search of the best order of all after a discovery, so that the answer comes within a second."""


class TooLateError(SequencerError):
    """A target that what has already been done has put out of reach."""


@dataclass(frozen=True)
class Difference:
    """What a new plan has changed of the former one.

    Attributes:
        new: Operations that the former plan lacked, in order.
        dropped: What it had and is not needed any more.
        moved: Kept operations that have left their place in the former order.
        seconds: How much longer what is left takes now; less than 0: shorter.
        saving: What the best order of all would save, or has saved, against the former order kept.
        reshuffled: The best order of all was taken.
    """

    new: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    seconds: Fraction = Fraction(0)
    saving: Fraction = Fraction(0)
    reshuffled: bool = False


@dataclass(frozen=True)
class Resumed:
    """The plan from the present state on, and what it changes.

    Attributes:
        plan: What is left to do.
        stuck: Targets that can't be reached any more, each with the reason; they are not dropped.
    """

    plan: Teardown
    difference: Difference
    stuck: tuple[tuple[Target, SequencerError], ...] = ()


def replan(
    machine: Machine,
    targets: Sequence[Target],
    present: Present,
    former: Sequence[str] = (),
    reshuffle: Fraction = RESHUFFLE_SECONDS,
    prefer: Prefer = Prefer.TIME,
    limits: Limits = RESUME_LIMITS,
    *,
    go_on: bool = False,
    practice: Practice = Practice.NONE,
) -> Resumed:
    """Plan what is left of the way in.

    Args:
        machine: As it is known now.
        targets: All targets of the job.
        present: What is really so.
        former: What the former plan still had to do, in its order; empty: any order is as good.
        reshuffle: Seconds that another order has to save before the former one is given up.
        prefer: What comes first.
        limits: For the engine's search of the best order of all.
        go_on: Plan for the targets that can be reached, and say which can't, rather than raise.
        practice: Whether what is left keeps the rules of good practice, as far as they still can be.

    Raises:
        UnreachableError: No order of work reaches the targets.
        TooLateError: None does any more, because of what has been done.
    """
    whole = derive(machine)
    rest = remaining(whole, present)
    reached, stuck = _reachable(whole, rest, targets, present, go_on=go_on)
    graph, wanted = narrowed(rest, _left(whole, rest, reached, present))
    changes = present.changes(machine)
    found = order_of_the_rest(graph, wanted, former, changes, reshuffle, prefer, limits)
    naive = top_to_bottom(graph, wanted, found.order)
    if practice is Practice.ALL:
        found, rest = signed(found, whole, present, former, changes, reshuffle, prefer, limits)
        graph = rest.restricted({*graph.operations, *found.order})
    order, bound = found.order, found.bound
    totals = Totals.of(replay(graph, order, changes))
    worth = Bound(min(bound, totals.seconds), 0, reached=bound >= totals.seconds)
    plan = teardown_of(graph, targets, order, changes, prefer, worth, naive)
    skipped = tuple(present.skipped)
    earlier = (*present.done, *skipped)
    plan = replace(plan, earlier=earlier, skipped=skipped, practice=found.practice)
    before = [name for name in former if name in rest.operations]
    difference = Difference(
        new=tuple(name for name in order if name not in before),
        dropped=tuple(name for name in former if name not in order),
        moved=_moved(order, before),
        seconds=totals.seconds - Totals.of(replay(rest, before, changes)).seconds,
        saving=found.saving,
        reshuffled=found.reshuffled,
    )
    return Resumed(plan, difference if former else Difference(new=order, seconds=totals.seconds), stuck)


def _left(
    whole: OperationGraph, rest: OperationGraph, targets: Sequence[Target], present: Present
) -> tuple[Clause, ...]:
    """What of the targets is still to be reached, in operations that can still be done; and what they owe."""
    done = met(whole, present)
    return (
        *(
            Clause(tuple(n for n in goal.any_of if n in rest.operations), goal.reason)
            for goal in goals(whole, targets)
            if done.isdisjoint(goal.any_of)
        ),
        *due_as_well(rest, whole, present),
    )


def _reachable(
    whole: OperationGraph,
    rest: OperationGraph,
    targets: Sequence[Target],
    present: Present,
    *,
    go_on: bool,
) -> tuple[list[Target], tuple[tuple[Target, SequencerError], ...]]:
    """The targets that can be reached together, and those that can't with the reason."""
    fault = _fault(whole, rest, targets, present)
    if fault is None:
        return list(targets), ()
    if not go_on:
        raise fault
    reached: list[Target] = []
    stuck: list[tuple[Target, SequencerError]] = []
    for target in targets:
        fault = _fault(whole, rest, [*reached, target], present)
        if fault is None:
            reached.append(target)
        else:
            stuck.append((target, fault))
    return reached, tuple(stuck)


def _fault(
    whole: OperationGraph, rest: OperationGraph, targets: Sequence[Target], present: Present
) -> SequencerError | None:
    """Why these targets can't all be reached; None when they can."""
    wanted = _left(whole, rest, targets, present)
    able = possible(rest.needs)
    if any(able.isdisjoint(goal.any_of) for goal in wanted):
        return _too_late(whole, targets, present)
    graph, narrow = narrowed(rest, wanted)
    chosen = graph.restricted(nearest_choice(graph, narrow))
    if len(possible(chosen.needs, rules_as_clauses(chosen))) == len(chosen.operations):
        return None
    question = ask(graph, narrow, present.changes(whole.machine))
    if solve(question.problem, ANY_ORDER).status is Status.IMPOSSIBLE:
        return explain_conflict(graph, narrow)
    return None


def _too_late(whole: OperationGraph, targets: Sequence[Target], present: Present) -> SequencerError:
    """The explanation: what has been done stands in the way, or the machine has never allowed it."""
    late = too_late(whole, met(whole, present))
    cracks = _late_cracks(whole, present)
    away = [name for name in present.done if Op(name).kind is Kind.RESTORE]
    done = tuple(name for name in present.done if name not in away)
    freed = replace(present, done=done)
    while held := _late_cracks(whole, freed):  # one that is granted may come too late for another in turn
        freed = replace(freed, skipped={**freed.skipped, **dict.fromkeys(held, "")})
    rest = remaining(whole, freed)
    try:
        narrowed(rest, _left(whole, rest, targets, freed))
    except UnreachableError as fault:
        return fault
    if not cracks:
        return _put_away(away, whole, late)
    reasons = "; ".join(f"{name}: {late[name]}" for name in cracks)
    return TooLateError(
        f"too late for what has been done already: {reasons}",
        f'put back what held it, or hold it another way and say so: skip "{cracks[0]}" with the reason',
        code="too-late",
        crack=cracks[0],
    )


def _late_cracks(whole: OperationGraph, present: Present) -> list[str]:
    """The joints that can't be cracked any more and so not be undone: what held them has been touched."""
    late = too_late(whole, met(whole, present))
    return [rule.crack for rule in whole.cracks if rule.crack in late and rule.undoing[0] in late]


def _put_away(away: Sequence[str], whole: OperationGraph, late: Mapping[str, Reason]) -> TooLateError:
    """The explanation where a task was put away that is needed once more."""
    needed = {rule.after: rule.before for rule in whole.orders if rule.after in away and rule.before in late}
    (first, waits), *_ = needed.items()
    return TooLateError(
        f"too late for what has been done already: {waits}: {late[waits]}",
        f"do {Op(first).subject} again, and take back the tick of {first}",
        code="put-away",
    )


def _moved(order: Sequence[str], former: Sequence[str]) -> tuple[str, ...]:
    """What has left its place: all but a longest run of the former order that is still in sequence."""
    place = {name: number for number, name in enumerate(former)}
    common = [name for name in order if name in place]
    ends: list[int] = []
    at: list[int] = []
    for name in common:
        length = bisect_left(ends, place[name])
        ends[length : length + 1] = [place[name]]
        at.append(length)
    stays = set()
    length, next_place = len(ends) - 1, len(place)
    for name, own in zip(reversed(common), reversed(at), strict=True):
        if own == length and place[name] < next_place:
            stays.add(name)
            length, next_place = length - 1, place[name]
    return tuple(name for name in order if name in place and name not in stays)
