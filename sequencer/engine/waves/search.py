"""Best-first search for the proof: the state with the least possible total is always expanded next (A*)."""

from __future__ import annotations

from heapq import heappop, heappush

from sequencer.engine.base.job import Job
from sequencer.engine.base.trace import Trace, moves
from sequencer.engine.bounds.bounds import Guide
from sequencer.engine.stop import Budget
from sequencer.engine.waves.beam import BeamResult


def best_first(job: Job, guide: Guide, cutoff: int, budget: Budget, states: int | None = None) -> BeamResult:
    """The best order below ``cutoff``, or the proof that there is none, or a bound when a limit comes first.

    Args:
        job: What is to be ordered.
        guide: A bound on the changes to come.
        cutoff: Orders that cost as much are of no interest.
        budget: The limits of the whole question.
        states: Stop after this many states of this search alone.
    """
    if not job.size:
        return BeamResult([], 0, 0)
    trace = Trace(job)
    queue: list[tuple[int, int, int, int, int, int]] = [(0, 0, 0, 0, job.first, -1)]
    serial = 0
    spent = 0
    most = budget.limits.memory_states
    while queue:
        key, cost, _, done, ready, setup = heappop(queue)
        cost = -cost
        if done == job.all:
            return BeamResult(trace.order(done, setup), cost, cost)
        if done and trace.stale(done, setup, cost):
            continue
        spent += 1
        if budget.spend() or spent == states or len(trace) > most:
            return BeamResult(None, cutoff, min(key, cutoff))
        before = (done, setup) if done else None
        for done2, ready2, setup2, change in moves(job, done, ready, setup):
            cost2 = cost + change
            key2 = max(key, cost2 + guide(done2, setup2))
            if key2 < cutoff and trace.arrive(done2, setup2, cost2, before):
                serial += 1
                heappush(queue, (key2, -cost2, serial, done2, ready2, setup2))
    return BeamResult(None, cutoff, cutoff)
