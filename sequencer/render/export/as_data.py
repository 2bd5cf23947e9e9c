"""A whole job as plain data: both ways, sittings, supplies, tools, bags; and the schema of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Annotated, Any, Literal

from sequencer.document.lists.parts import supplies
from sequencer.document.lists.tools import tools_needed
from sequencer.document.plans.both_ways import PaperJob
from sequencer.graph.operations import Kind, Op
from sequencer.plan.plan import Plan
from sequencer.render.data.about import MADE_BY, VERSION
from sequencer.render.data.plain import Record
from sequencer.render.data.plans.plan import RefitData, TeardownData, refit_data, teardown_data
from sequencer.render.data.plans.sittings import SittingData, Way, sitting_data
from sequencer.render.data.schema import schema_of


class SupplyData(Record):
    """One thing to have ready."""

    kind: Literal["renewal", "fluid", "sealant", "experience"]
    item: Annotated[str, "What to ask for over the counter."]
    count: Annotated[float | None, "How many, or for a fluid how much in `unit`; null where nobody has said."]
    unit: str
    price: Annotated[Fraction | None, "Of one."]
    total: Fraction | None
    for_: Sequence[str]
    step: Annotated[int | None, "The step of the way back that first needs it."]
    sitting: int | None


class ToolData(Record):
    """A tool that the job needs."""

    tool: str
    label: str
    way: Annotated[Way, "The way on which it is needed first, at `step`."]
    step: int
    steps: Annotated[int, "At how many steps of both ways."]
    owned: Annotated[bool | None, "null where no toolbox is named."]


class LabelData(Record):
    """A pair of labels, one on each side of a joint."""

    mark: str
    like: Annotated[Sequence[str], "The other joints that it could be taken for."]
    why: str


class JobData(Record):
    """Version 1. New keys may come at any time; the version is raised when a key changes its meaning.

    Seconds are seconds; money is in whatever the machine file's author thinks in.
    """

    format: Literal["sequencer-job"]
    version: Literal[1]
    made_by: str
    date: date
    title: str
    teardown: Annotated[TeardownData, "The way in, as `plan --json` prints it; cautions in each sitting."]
    refit: Annotated[
        RefitData | None,
        "The way back, as `refit --json` prints it; null where it was left out.",
    ]
    sittings: Annotated[Sequence[SittingData], "Empty where the job is not cut."]
    supplies: Sequence[SupplyData]
    tools: Sequence[ToolData]
    ticked: Annotated[
        Mapping[str, Literal["done", "skipped"]], "What is done of the job already, by operation."
    ]
    bags: Annotated[Mapping[str, str], "The mark of each bag by the operation that fills it."]
    labels: Annotated[Mapping[str, LabelData], "Pairs of labels by joint."]


def job_json(job: PaperJob) -> dict[str, Any]:
    """The job as plain data."""
    return JobData.of(
        job,
        format="sequencer-job",
        version=VERSION,
        made_by=MADE_BY,
        date=job.on,
        title=job.name,
        teardown=teardown_data(job.into, job.kit_in, job.divided_in),
        refit=_refit(job),
        sittings=[sitting_data(plan, number, sitting) for number, plan, sitting in job.sittings],
        supplies=[SupplyData.of(one, for_=one.uses) for one in supplies(job)],
        tools=[ToolData.of(need, way=way_of(job, need.plan)) for need in tools_needed(job)],
        bags={op: mark for op, mark in job.bags.items() if Op(op).kind is Kind.UNDO},
        ticked={op: word for way in (False, True) for op, word in job.ticked.get(way, {}).items()},
        labels=job.labels,
    ).plain()


def _refit(job: PaperJob) -> RefitData | None:
    if job.back is None:
        return None
    return refit_data(job.back, job.unit, job.kit_back, job.divided_back)


def way_of(job: PaperJob, plan: Plan) -> Way:
    """``in`` or ``back``."""
    return "back" if plan is job.back else "in"


def job_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of ``job_json``."""
    title = "A job of the sequencer: both ways, sittings, supplies, tools, bags"
    return schema_of(JobData, **{"$id": "urn:sequencer:job:1", "title": title})
