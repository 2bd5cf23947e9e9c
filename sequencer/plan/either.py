"""Where a way in chose between alternatives that lie within the spread of their times.

An estimate, without a second search: the plan's own order is kept, what only the way taken called for is left
out of it, and what the other way calls for is put in at its cheapest places, its changes of tool and place
counted there. Another order of the whole might suit the other way better still. The two are then told apart
by the steps that differ, drawn by lot as the hours are. What puts a serving task away counts for neither.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.graph import UnreachableError, goals, narrowed
from sequencer.graph.blocker_tree import Fork, Way, by_way, forks
from sequencer.graph.operations import Clause, Kind, OperationGraph
from sequencer.graph.reach import nearest_choice, rounds
from sequencer.machine.model import Machine
from sequencer.plan.hours.hours import draws, hours_in
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.order.prune import pruned
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Step, Teardown, Totals

CLOSE = 0.3
"""From this chance on that the way not taken is the quicker one, either will do."""

_FAR, _MOST_NEW, _MOST_LOOKED_INTO = 3, 10, 8
"""A way that takes so many times what it saves, or more new steps, is let be; of many the nearest count."""


@dataclass(frozen=True)
class Either:
    """Two ways of meeting a need, of which either will do.

    Attributes:
        taken: The plan's.
        way: The other.
        seconds: What the other takes more, in the middle; negative where it takes less.
        chance: That the other is the quicker one, from 0 to 1.
        safer: Whichever is the shorter one when things go badly (one time in twenty they go worse).
    """

    taken: Way
    way: Way
    seconds: int
    chance: float
    safer: Way


def either(plan: Teardown) -> tuple[Either, ...]:
    """The choices of a whole way in that might as well have gone the other way, in its order.

    Of several other ways of meeting one need the nearest is named. In the middle of a job none is: what was
    done decides.
    """
    if plan.earlier:
        return ()
    able = plan.graph.operations  # a target may name what can never be done
    asked = [
        Clause(tuple(name for name in goal.any_of if name in able), goal.reason)
        for goal in goals(plan.graph, plan.targets)
    ]
    graph, wanted = narrowed(plan.graph, asked)
    needed = graph.operations  # an order that was kept through a change of the file may have more
    order = tuple(op.name for op in plan.operations if op.kind is not Kind.RESTORE and op.name in needed)
    changes = Changes.of(plan.machine)
    steps = replay(graph, order, changes)
    open_ways = _ways_not_taken(graph, forks(graph, wanted, order))
    nearest: dict[Fork, Either] = {}
    for fork, way in open_ways:
        judged = _judged(graph, wanted, changes, steps, fork, way)
        if judged and judged.chance > max(CLOSE, nearest[fork].chance if fork in nearest else 0):
            nearest[fork] = judged
    told = [nearest[fork] for fork in dict.fromkeys(fork for fork, _ in open_ways) if fork in nearest]
    return tuple({(one.taken, one.way): one for one in told}.values())


def _ways_not_taken(graph: OperationGraph, found: Sequence[Fork]) -> list[tuple[Fork, Way]]:
    """Those that are looked into, in the order of the job: where the plan went one way and no other."""

    def seconds(way: Way) -> Fraction:
        return graph.operations[way.operations[0]].seconds

    def apart(one: tuple[Fork, Way]) -> Fraction:
        return abs(seconds(one[1]) - sum(seconds(way) for way in one[0].ways if way.taken))

    clear = [fork for fork in found if sum(way.taken for way in fork.ways) == 1]
    ways = [(fork, way) for fork in clear for way in fork.ways if not way.taken]
    near = sorted(ways, key=apart)[:_MOST_LOOKED_INTO]
    return [one for one in ways if one in near]


def _judged(
    whole: OperationGraph,
    wanted: Sequence[Clause],
    changes: Changes,
    steps: Sequence[Step],
    fork: Fork,
    way: Way,
) -> Either | None:
    """The way taken beside another; None where that can't be gone, only adds to it, or is far off."""
    try:
        graph, left = narrowed(*by_way(whole, wanted, fork, way))
    except UnreachableError:
        return None
    former = [step.operation.name for step in steps]
    chosen = _choice(graph, left, [name for name in former if name not in fork.any_of])
    new = chosen.difference(former)
    saved = Totals.of(step for step in steps if step.operation.name not in chosen).seconds
    added = sum((graph.operations[name].seconds for name in new), Fraction(0))
    if not chosen or len(new) > _MOST_NEW or added > _FAR * saved:
        return None
    order = near_former_order(graph, chosen, former, changes)
    return _compared(graph.machine, fork, way, steps, replay(graph, order, changes)) if order else None


def _choice(graph: OperationGraph, wanted: Sequence[Clause], former: Sequence[str]) -> set[str]:
    """What meets every need, with as much of the former choice as it takes; empty where that is a circle."""
    chosen = nearest_choice(graph, wanted, former)
    rank = rounds(graph.restricted(chosen).needs)
    if len(rank) < len(chosen):
        return set()
    return set(pruned(graph, wanted, sorted(rank, key=rank.__getitem__)))


def _compared(
    machine: Machine, fork: Fork, way: Way, steps: Sequence[Step], others: Sequence[Step]
) -> Either:
    """By the steps that differ; what the rest takes more or less goes as changes of tool and place do."""
    ours, theirs = _beyond(steps, others), _beyond(others, steps)
    drawn = draws(machine, [*ours, *theirs])
    own, its = drawn.steps[: len(ours)].sum(axis=0), drawn.steps[len(ours) :].sum(axis=0)
    more = Totals.of(others).seconds - Totals.of(steps).seconds
    rest = more - Totals.of(theirs).seconds + Totals.of(ours).seconds
    its += float(rest) * drawn.changes
    taken = next(one for one in fork.ways if one.taken)
    mine, other = hours_in(own), hours_in(its)
    return Either(
        taken,
        way,
        other.likely - mine.likely,
        float((its < own).mean()),
        way if other.high < mine.high else taken,
    )


def _beyond(steps: Sequence[Step], others: Sequence[Step]) -> list[Step]:
    """The steps that others have not, without the changes before them."""
    known = {step.operation.name for step in others}
    return [replace(step, change_seconds=Fraction(0)) for step in steps if step.operation.name not in known]
