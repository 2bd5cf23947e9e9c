"""What an order of some of a job's operations lacks for the others: visits that would have to be added."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.job import Job
from sequencer.engine.base.trace import in_sequence


def completed(job: Job, kept: Sequence[int]) -> list[int]:
    """An order of all operations of a feasible job along one of some of them.

    Everything is done as soon as its set-up is visited; where an operation of ``kept`` is still waiting, what
    it waits for is done first, always what is cheapest to go to.
    """
    done, ready, present = 0, job.first, -1
    order: list[int] = []

    def visit(setup: int) -> None:
        nonlocal done, ready, present
        then, ready = job.exhaust(done, ready, setup)
        order.extend(in_sequence(job, done, then & ~done))
        done, present = then, setup

    def nearest(ops: int) -> int:
        costs = job.costs.starts if present < 0 else job.costs.changes[present]
        return min({job.setups[op] for op in members(ops)}, key=lambda setup: (costs[setup], setup))

    for op in kept:
        while not done >> op & 1:
            missing = job.ancestors[op] & ready
            visit(job.setups[op] if ready >> op & 1 else nearest(missing or ready))
    while done != job.all:
        visit(nearest(ready))
    return order


def lacking(job: Job, kept: Sequence[int], *, added: bool = False) -> dict[int, int]:
    """The operations that an order of ``kept`` has no visit for in time, and what one would cost.

    An operation can be done at the first visit of its set-up after all that it waits for, and has to be
    before what waits for it in ``kept``. Each by itself, or with those before it ``added``: then of several
    far from all that is kept only the first is dear.
    """
    visits: list[int] = []
    place: dict[int, int] = {}
    for op in kept:
        if not visits or visits[-1] != job.setups[op]:
            visits.append(job.setups[op])
        place[op] = len(visits) - 1
    held = mask_of(kept)
    soonest = dict(place)
    found: dict[int, int] = {}
    for op in job.by_ancestors:
        if op in place:
            continue
        first = max((soonest[other] for other in members(job.ancestors[op])), default=0)
        after = job.descendants[op] & held
        last = min((place[other] for other in members(after)), default=len(visits) - 1)
        setup = job.setups[op]
        at = next((spot for spot in range(first, last + 1) if visits[spot] == setup), None)
        soonest[op] = last if at is None else at
        if at is None:
            found[op], before = _detour(job, visits, setup, first, last, ending=not after)
            if added:
                visits.insert(before, setup)
                for places in (place, soonest):
                    places |= {other: spot + 1 for other, spot in places.items() if spot >= before}
                soonest[op] = before
    return found


def _detour(
    job: Job, visits: Sequence[int], setup: int, first: int, last: int, ending: bool
) -> tuple[int, int]:
    """What a visit of ``setup`` would add between two visits, and before which it would be.

    A nominal 1 if what it waits for is lacking.
    """
    if first > last:
        return 1, last + 1
    changes, starts = job.costs.changes, job.costs.starts
    there = [changes[a][setup] for a in visits]
    back = changes[setup]
    ways = [
        (there[at] + back[visits[at + 1]] - changes[visits[at]][visits[at + 1]], at + 1)
        for at in range(first, last)
    ]
    if ending:
        ways.append((there[last], last + 1))
    if not first:
        ways.append((starts[setup] + back[visits[0]] - starts[visits[0]], 0))
    # within one visit: there and back
    return min(ways, default=(there[last] + back[visits[last]], last + 1))
