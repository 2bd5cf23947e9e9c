"""Beam search: a good order soon, by keeping the most promising states of each number of visits."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.engine.base.job import Job
from sequencer.engine.base.trace import Trace, moves
from sequencer.engine.bounds.bounds import Guide
from sequencer.engine.stop import Budget

Layer = dict[tuple[int, int], tuple[int, int, int]]
"""(done, set-up) → (key, cost, ready)."""


@dataclass(frozen=True)
class BeamResult:
    """The best order below the cutoff, if any, its cost or else the cutoff, and a bound on what others cost.

    ``complete`` is True when no order costs less than ``cost``.
    """

    order: list[int] | None
    cost: int
    bound: int

    @property
    def complete(self) -> bool:
        """Whether no order costs less."""
        return self.bound >= self.cost

    def joined(self, other: BeamResult) -> BeamResult:
        """What both tell of one job: the cheaper order, and the greater bound, up to what that costs."""
        better = self if other.order is None or other.cost >= self.cost else other
        return BeamResult(better.order, better.cost, min(better.cost, max(self.bound, other.bound)))


def beam(job: Job, guide: Guide, width: int, cutoff: int, budget: Budget) -> BeamResult:
    """The best order found with ``width`` states kept a visit; the least key cut off bounds the rest."""
    if not job.size:
        return BeamResult([], 0, 0)
    trace = Trace(job)
    best, cut = BeamResult(None, cutoff, cutoff), cutoff
    layer: Layer = {(0, -1): (0, 0, job.first)}
    while layer:
        layer, least = _narrowed(layer, width, cut)
        cut = min(cut, least)
        if budget.spend(len(layer)):
            cut = min([cut, *(key for key, _, _ in layer.values())])
            break
        following: Layer = {}
        for (done, setup), (_, cost, ready) in layer.items():
            before = (done, setup) if done else None
            for done2, ready2, setup2, change in moves(job, done, ready, setup):
                cost2 = cost + change
                key = cost2 + guide(done2, setup2)
                if key >= best.cost or not trace.arrive(done2, setup2, cost2, before):
                    continue
                if done2 == job.all:
                    order = trace.order(done2, setup2)
                    best = BeamResult(order, job.cost(order), cut)
                else:
                    following[done2, setup2] = (key, cost2, ready2)
        layer = following
    return BeamResult(best.order, best.cost, min(best.cost, cut))


def _narrowed(layer: Layer, width: int, cut: int) -> tuple[Layer, int]:
    """The ``width`` most promising states, and the least key of the others."""
    if len(layer) <= width:
        return layer, cut
    ranked = sorted(layer.items(), key=lambda item: (item[1][0], -item[1][1], item[0]))
    return dict(ranked[:width]), ranked[width][1][0]
