"""A job read backwards, and the orders that stays come to.

A ``Stay`` is easy where what lifts it can be done on the spot: do it and go. Read backwards it says
that no later visit may come back to a place already left, and a search learns of it when it is too late.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sequencer.engine.base.bits import mask_of, members, union_of
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.gaps import Gap, Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import lean

if TYPE_CHECKING:
    pass


def better_turned(job: Job, gaps: Gaps) -> bool:
    """Whether the job can be read backwards at the same costs, and more stays are easy then."""
    if any(job.ors) or any(job.costs.starts[setup] for setup in job.setups):
        return False
    turned = turned_round(job, gaps)
    return _easy(*turned) > _easy(job, gaps)


def turned_round(job: Job, gaps: Gaps) -> tuple[Job, Gaps]:
    """The same orders read backwards; for a job without choices, all of whose starts are free."""
    size = range(len(job.costs.starts))
    clauses: list[list[int]] = [[] for _ in job.setups]
    for op, needs in enumerate(job.needs):
        for other in members(needs):
            clauses[other].append(1 << op)
    changes = tuple(tuple(job.costs.changes[b][a] for b in size) for a in size)
    turned = Job(job.setups, lean(clauses), Costs(changes, tuple(0 for _ in size)))
    whiles = (Gap(w.until, w.after, w.following & ~w.until | w.after, lifts=w.lifts) for w in gaps.whiles)
    stays = (
        Gap(
            s.until,
            s.after,
            job.all & ~of_setups(job, s.leaving or 0),
            mask_of(job.setups[op] for op in members(job.all & ~s.following)),
        )
        for s in gaps.stays
    )
    return turned, Gaps(job.setups, tuple(whiles), tuple(stays))


def of_setups(job: Job, setups: int) -> int:
    """The operations of certain set-ups."""
    return mask_of(op for op, setup in enumerate(job.setups) if setups >> setup & 1)


def with_earlier(job: Job, ops: int) -> int:
    """Certain operations and all that comes before them."""
    return ops | union_of(job.ancestors[op] for op in members(ops))


def with_orders(job: Job, gaps: Gaps) -> Job:
    """The job with the orders that its firm stays come to.

    Let a stay bind from ``after`` to one operation u, and z of ``leaving`` come when all of ``after`` is done
    and before y of ``entering``. If all that may lie between is of ``leaving`` or of ``entering``, one of the
    gaps from z to y is forbidden, unless u comes before y.
    """
    single = [stay for stay in firm(job, gaps) if stay.until and not stay.until & (stay.until - 1)]
    rules = [(stay, stay.until.bit_length() - 1) for stay in single]
    fresh = bool(rules)
    while fresh:
        clauses = [list(own) for own in job.clauses]
        fresh = False
        for stay, last in rules:
            for op in members(_too_far(job, stay) & ~(job.ancestors[last] | 1 << last)):
                if not job.ancestors[op] >> last & 1:
                    clauses[op].append(1 << last)
                    fresh = True
        more = Job(job.setups, lean(clauses), job.costs)
        if not more.feasible:
            return more
        job = more
    return job


def firm(job: Job, gaps: Gaps) -> list[Gap]:
    """The stays that no ``While`` lifts: while that is active, what they forbid is out of reach anyway.

    What comes before a step in a ``While`` is of the ``While`` itself, or the last that it waits for.
    """
    return [
        stay
        for stay in gaps.stays
        if all(
            not job.all & rule.following & ~stay.following
            or not of_setups(job, stay.leaving or 0) & (rule.following | rule.after)
            for rule in gaps.whiles
            if rule.lifts
        )
    ]


def _too_far(job: Job, stay: Gap) -> int:
    """What is entered after leaving while the stay is sure to be active, as long as nothing lifts it."""
    leaving, entering = of_setups(job, stay.leaving or 0), job.all & ~stay.following
    later = job.all & ~union_of(job.ancestors[op] for op in members(stay.after))
    if later & ~(leaving | entering):
        return 0
    beyond = job.all
    for op in members(stay.after):
        beyond &= job.descendants[op] | 1 << op
    found = 0
    if stay.after and not later & ~leaving:  # before the first step no stay binds
        found = job.all
        for op in members(stay.after):
            found &= job.descendants[op]
    return (found | union_of(job.descendants[op] for op in members(beyond & leaving))) & entering


def _easy(job: Job, gaps: Gaps) -> int:
    """How many stays something lifts that can be done on the spot as soon as they are active."""
    count = 0
    for stay in gaps.stays:
        done = with_earlier(job, stay.after)
        count += any(
            (stay.leaving or 0) >> job.setups[op] & 1 and not job.needs[op] & ~done
            for op in members(stay.until)
        )
    return count
