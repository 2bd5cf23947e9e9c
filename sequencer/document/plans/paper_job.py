"""The job that paper and exports show: planned afresh, or as one under way goes by it; cut into sittings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Generic, TypeVar

from sequencer.document.jobs.written import readings, said_otherwise
from sequencer.document.plans.both_ways import PaperJob, bag_words
from sequencer.job.now.bags import numbered
from sequencer.job.now.label_pairs import labels
from sequencer.job.now.moment import Moment
from sequencer.job.now.ways import Ways, ticked
from sequencer.machine.facts.typical import TypicalJob
from sequencer.plan.closing.toolbox import Equipment, equipment
from sequencer.plan.evenings.evenings import as_ordered, in_sittings, with_breaks
from sequencer.plan.evenings.sittings import Evenings, Sitting
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.torque.wrenches.toolbox import Toolbox

P = TypeVar("P", bound=Plan)


@dataclass(frozen=True)
class CutWay(Generic[P]):
    """One way of a job, and its sittings; ``evenings`` where its order was chosen with them."""

    plan: P
    sittings: tuple[Sitting, ...] = ()
    evenings: Evenings[P] | None = None


BothCut = tuple[CutWay[Teardown], CutWay[Refit] | None]
"""Both ways of a job; None where the way back is left out."""


def chosen(
    into: Teardown, plan_back: Callable[[Teardown], Refit] | None, wish: SittingsWish | None
) -> BothCut:
    """A fresh plan, the order of each way chosen with its sittings; the way back follows from that order."""
    first = _chosen(into, wish)
    return first, None if plan_back is None else _chosen(plan_back(first.plan), _rest(wish, first))


def as_they_are(ways: Ways, wish: SittingsWish | None) -> BothCut:
    """The ways of a job that goes by its order, only cut."""
    first = _as_it_is(ways.into, wish)
    return first, None if ways.back is None else _as_it_is(ways.back, _rest(wish, first))


def paper_job(
    ways: BothCut,
    on: date,
    at: datetime | None = None,
    *,
    box: Toolbox | None = None,
    unit: str | None = None,
    jobs: tuple[TypicalJob, ...] = (),
    moment: Moment | None = None,
) -> PaperJob:
    """A job for paper.

    Args:
        ways: Both ways.
        on: The date that is printed, by which calibrations are held.
        at: The moment of the print.
        box: The toolbox that the job is held against.
        unit: Torques are shown in this unit too.
        jobs: The jobs of the machine file that it is.
        moment: The job under way that it is: with its title and people, what is ticked and what was read.
    """
    into, back = ways
    order = [op.name for op in into.plan.operations]
    bags = moment.bags if moment else numbered(into.plan.machine, order)
    pairs = moment.labels if moment else labels(into.plan.machine, order)
    job = PaperJob(
        into=into.plan,
        back=back.plan if back else None,
        on=on,
        at=at,
        divided_in=into.evenings,
        divided_back=back.evenings if back else None,
        sittings_in=into.sittings,
        sittings_back=back.sittings if back else (),
        unit=unit,
        kit_in=_held_against(into.plan, box, on),
        kit_back=_held_against(back.plan, box, on) if back else None,
        bags=bag_words(bags),
        labels=pairs,
        jobs=jobs,
    )
    return job if moment is None else _under_way(job, moment)


def _under_way(job: PaperJob, moment: Moment) -> PaperJob:
    return replace(
        job,
        title=moment.card.title,
        ticked=ticked(moment),
        people=tuple(moment.card.people),
        jobs=moment.jobs,
        begun=moment.state.history[0].event.time.astimezone().date(),
        written=readings(moment),
        said=said_otherwise(moment),
    )


def _held_against(plan: Plan, box: Toolbox | None, on: date) -> Equipment | None:
    return None if box is None else equipment(plan, box, on)


def _rest(wish: SittingsWish | None, first: CutWay[Teardown]) -> SittingsWish | None:
    """The sittings that are left for the way back."""
    return wish and wish.after(len(first.sittings))


def _chosen(plan: P, wish: SittingsWish | None) -> CutWay[P]:
    if wish is None:
        return CutWay(plan)
    found = in_sittings(plan, wish)
    return CutWay(found.plan, found.sittings, found)


def _as_it_is(plan: P, wish: SittingsWish | None) -> CutWay[P]:
    sittings = as_ordered(plan, wish) if wish else ()
    return CutWay(with_breaks(plan, sittings), sittings)
