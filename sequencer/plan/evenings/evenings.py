"""A plan in sittings: the door to the search for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.plan.evenings.cut import Division, divided
from sequencer.plan.evenings.exact import Exact, TooManyStatesError
from sequencer.plan.evenings.ground import Ground
from sequencer.plan.evenings.least import fewest, shortest
from sequencer.plan.evenings.load import Load
from sequencer.plan.evenings.reordered import reordered
from sequencer.plan.evenings.short_open import short_open
from sequencer.plan.evenings.sittings import EndReason, Evenings, P, Sitting
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.evenings.worth import Worth
from sequencer.plan.hazards.stops import Stop
from sequencer.plan.plan import Plan

FEW = 40
"""Steps up to which it is worth while to try a proof of the number and the time."""


SHARES = (Fraction(1), Fraction(1, 3), Fraction(1, 9))
"""Of a sitting: what takes longer from one place to stop to the next is left for last."""


def in_sittings(plan: P, wish: SittingsWish) -> Evenings[P]:
    """The plan in the order that needs the fewest sittings, and of those the least time.

    Each ends where the machine may be left. Where it can't be within the wished length, sittings run over,
    together by as little as possible.
    """
    if not plan.steps:
        return Evenings(
            plan, (), wish, 0, proven=True, shortest=None, never_under=Fraction(0), day=Fraction(0)
        )
    ground = Ground(plan, Load(plan, wish))
    answer = _exactly(ground) or _well(ground)
    found = reordered(plan, [ground.names[step] for step in answer.division.order])
    if found is None:
        own = divided(ground, range(ground.size))
        return _evenings(ground, plan, replace(answer, division=own, proven=False))
    return _evenings(ground, found, answer)


def with_breaks(plan: P, sittings: Sequence[Sitting]) -> P:
    """The plan with its stations ended where a sitting does."""
    return replace(plan, breaks=frozenset(one.first for one in sittings[1:]))


def as_ordered(plan: Plan, wish: SittingsWish) -> tuple[Sitting, ...]:
    """A plan whose order stays as it is, in as few sittings as that allows."""
    if not plan.steps:
        return ()
    ground = Ground(plan, Load(plan, wish))
    return _sittings(ground, plan, divided(ground, range(ground.size)))


def in_one_go(plan: Plan) -> Sitting:
    """All of a plan that has steps, as one sitting."""
    ground = Ground(plan, Load(plan, SittingsWish((Fraction(10**9),))))
    (whole,) = _sittings(ground, plan, Division.of(ground, [tuple(range(ground.size))]))
    return whole


@dataclass(frozen=True)
class _Answer:
    division: Division
    at_least: int
    proven: bool
    shortest: Fraction | None
    never_under: Fraction


def _exactly(ground: Ground) -> _Answer | None:
    """By a search of all orders; None where there are too many."""
    if ground.size > FEW:
        return None
    try:
        runs = Exact(ground).best()
        if runs is not None:
            return _Answer(Division.of(ground, runs), len(runs), True, None, Fraction(0))
        runs, least = Exact(ground).best(over=True), Exact(ground).shortest()
    except TooManyStatesError:
        return None
    assert runs is not None
    return _Answer(Division.of(ground, runs), 0, True, least, least)


def _well(ground: Ground) -> _Answer:
    """By good orders, and bounds."""
    own = divided(ground, range(ground.size))
    orders = dict.fromkeys(filter(None, (short_open(ground, share) for share in SHARES)))
    best = min((own, *(divided(ground, order) for order in orders)), key=lambda one: one.worth)
    if best.worth.over:
        longest = max(ground.sure(run) for run in best.runs)
        return _Answer(best, 0, False, longest, min(shortest(ground), longest))
    least = fewest(ground)
    return _Answer(best, least, False, None, Fraction(0))


def _evenings(ground: Ground, plan: P, answer: _Answer) -> Evenings[P]:
    day = ground.plan.totals.seconds + ground.load.around
    sittings = _sittings(ground, plan, answer.division)
    return Evenings(
        with_breaks(plan, sittings),
        sittings,
        ground.load.wish,
        answer.at_least,
        answer.proven,
        answer.shortest,
        answer.never_under,
        day,
    )


def _sittings(ground: Ground, plan: Plan, division: Division) -> tuple[Sitting, ...]:
    """The sittings of a division of ``plan``, which has its order; ``ground`` is in its own."""
    found: list[Sitting] = []
    load, done, first = ground.load, 0, 0
    for number, run in enumerate(division.runs, start=1):
        begun = done
        for step in run:
            done |= 1 << step
        changes = ground.seconds(run)
        worth: Worth = ground.worth(run, changes, number, done)
        taken = load.taken(run, changes)
        steps = plan.steps[first : first + len(run)]
        first += len(run)
        why, further = _why(ground, division, number, begun, worth)
        found.append(
            Sitting(
                number,
                steps,
                worth.seconds + load.around,
                Stop(first, ground.left(done)),
                worth.over,
                load.hours(taken),
                load.chance(taken, number),
                why,
                None if further is None else plan.steps[first + len(further) - 1].number,
                None
                if further is None
                else load.chance(load.taken((*run, *further), ground.seconds((*run, *further))), number),
            )
        )
    return tuple(found)


def _why(
    ground: Ground, division: Division, number: int, begun: int, worth: Worth
) -> tuple[EndReason, tuple[int, ...] | None]:
    """Why the sitting of that number ends where it does, and the steps to the next place to stop."""
    if number == len(division.runs):
        return EndReason.DONE, None
    if worth.over:
        return EndReason.LONG, None
    later = [step for run in division.runs[number:] for step in run]
    done = sum(1 << step for run in division.runs[:number] for step in run)
    for count, step in enumerate(later, start=1):
        done |= 1 << step
        if ground.may_stop(done):
            further = tuple(later[:count])
            break
    if any(not ground.cured(begun) >> step & 1 for step in further):
        return EndReason.CURE, None
    whole = (*division.runs[number - 1], *further)
    in_time = ground.within(whole, ground.seconds(whole), number)
    return (EndReason.SPREAD if in_time else EndReason.LATE), further
