"""A former order made to fit a changed problem: a start that is mostly near the best.

What is still called for stays in its former sequence; what is newly called for goes in at the cheapest place
between what it waits for and what waits for it.
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.job import Job
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.complete import met
from sequencer.engine.choice.selection import Partial


def repaired(appraisal: Appraisal, root: Partial, former: Sequence[int]) -> list[int] | None:
    """An order for the problem of ``appraisal`` out of a former one; None when no choice could be made."""
    whole = met(appraisal, root, mask_of(former))
    if whole is None:
        return None
    job = appraisal.job(whole)
    if not job.feasible:
        return None
    ops = list(members(whole.chosen))
    number = {op: index for index, op in enumerate(ops)}
    kept = [number[op] for op in former if op in number]
    return [ops[index] for index in inserted(job, appraisal.costs, kept)]


def inserted(job: Job, costs: Costs, kept: Sequence[int]) -> list[int]:
    """An order of ``job``, which is feasible, near the sequence ``kept`` of some of its operations."""
    order: list[int] = []
    old, waiting = mask_of(kept), 0
    for op in kept:
        waiting |= 1 << op
        _settle(job, costs, order, waiting, job.ancestors[op] & ~old)
        waiting &= ~mask_of(order)
    _settle(job, costs, order, old, job.all & ~old)
    return order


def _settle(job: Job, costs: Costs, order: list[int], old: int, fresh: int) -> None:
    """Append of ``old`` and insert of ``fresh`` what can be done, until nothing more can."""
    done = mask_of(order)
    while now := [op for op in members((old | fresh) & ~done) if job.ready(done, op)]:
        for op in now:
            order.insert(len(order) if old >> op & 1 else _cheapest(job, costs, order, op), op)
            done |= 1 << op


def _cheapest(job: Job, costs: Costs, order: Sequence[int], op: int) -> int:
    """The place at which ``op`` adds least to the changes, after all that it waits for."""
    own, setups = job.setups[op], [job.setups[other] for other in order]
    first, have = 0, 0
    while not job.ready(have, op):
        have |= 1 << order[first]
        first += 1
    best: tuple[int, int] | None = None
    for place in range(len(order), first - 1, -1):
        before = setups[place - 1] if place else -1
        into = costs.changes[before][own] if place else costs.starts[own]
        added = into
        if place < len(order):
            direct = costs.changes[before][setups[place]] if place else costs.starts[setups[place]]
            added += costs.changes[own][setups[place]] - direct
        if best is None or added < best[0]:
            best = (added, place)
    assert best is not None
    return best[1]
