"""A whole job as plain data: both ways, sittings, supplies, tools, bags. ``job.schema.json`` describes it."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from sequencer import __version__
from sequencer.document.both_ways import Job
from sequencer.document.lists.parts import Supply, supplies
from sequencer.document.lists.tools import tools_needed
from sequencer.document.sittings import stop_words
from sequencer.job.labels import labels
from sequencer.plan.plan import Plan
from sequencer.plan.sessions import Sitting
from sequencer.render.data.plan import refit_json, teardown_json

VERSION = 1
"""Raised when the meaning of a key changes; new keys may come at any time."""


def job_json(job: Job) -> dict[str, Any]:
    """The job as plain data."""
    return {
        "format": "sequencer-job",
        "version": VERSION,
        "made_by": f"sequencer {__version__}",
        "date": job.on.isoformat(),
        "title": job.name,
        "teardown": teardown_json(job.into, job.kit_in),
        "refit": refit_json(job.back, job.unit, job.kit_back) if job.back is not None else None,
        "sittings": [_sitting(job, number, plan, sitting) for number, plan, sitting in job.sittings],
        "supplies": [_supply(one) for one in supplies(job)],
        "tools": [
            {
                "tool": need.tool,
                "label": need.label,
                "way": way_of(job, need.plan),
                "step": need.step,
                "steps": need.steps,
                "owned": need.owned,
            }
            for need in tools_needed(job)
        ],
        "ticked": dict(job.ticked),
        "bags": {op: mark for op, mark in job.bags.items() if op.startswith("undo ")},
        "labels": {
            label.joint: {"mark": label.mark, "like": list(label.like), "why": label.why}
            for label in labels(job.machine, (op.name for op in job.into.operations)).values()
        },
    }


def way_of(job: Job, plan: Plan) -> str:
    """``in`` or ``back``."""
    return "back" if plan is job.back else "in"


def _sitting(job: Job, number: int, plan: Plan, sitting: Sitting) -> dict[str, Any]:
    last = sitting.steps[-1] is plan.steps[-1]
    return {
        "number": number,
        "way": way_of(job, plan),
        "steps": [step.number for step in sitting.steps],
        "seconds": float(sitting.seconds),
        "over_seconds": float(sitting.over),
        "ends_way": last,
        "safe": last or sitting.stop.safe,
        "left": []
        if last
        else [
            {"state": one.left.value, "subject": one.subject, "unsafe": one.unsafe}
            for one in sitting.stop.loose
        ],
        "words": [] if last else stop_words(job.machine, sitting),
    }


def _supply(one: Supply) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "item": one.item,
        "count": one.count,
        "unit": one.unit,
        "price": None if one.price is None else float(one.price),
        "total": None if one.total is None else float(one.total),
        "for": list(one.uses),
        "step": one.step,
        "sitting": one.sitting,
    }


def job_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of ``job_json``."""
    text = resources.files("sequencer.render.export").joinpath("job.schema.json").read_text(encoding="utf-8")
    data: dict[str, Any] = json.loads(text)
    return data
