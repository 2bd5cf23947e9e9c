"""The cover of a sheet: what is to be done and what it comes to, what to know, and what to have ready."""

from __future__ import annotations

from collections import Counter
from typing import Any

from sequencer.critic import findings_at
from sequencer.document.evenings.sittings import sitting_time_short, step_range, stop_words
from sequencer.document.hours import hours_words
from sequencer.document.lists.parts import supplies
from sequencer.document.plans.both_ways import PaperJob, at_step, first_needed
from sequencer.document.plans.compared import compared_words
from sequencer.document.plans.critic import all_of_them, head_lines
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.cards import cure_words
from sequencer.document.steps.more_hands import hands_words
from sequencer.document.steps.outfit import outfit
from sequencer.document.steps.toolbox import toolbox_rows
from sequencer.document.words import duration, plural, tool_words
from sequencer.graph.operations import Kind
from sequencer.graph.said import fluid_words, part_words
from sequencer.machine.called import name_of
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.plan import Plan, Refit
from sequencer.wording import listing

MARKED = "Missing"
"""The row of the toolbox that the list of tools says already, tool by tool."""


def cover_data(job: PaperJob) -> dict[str, Any]:
    """All of the cover and of the page that follows it, as the template reads it."""
    return {
        "machine": job.machine.name,
        "about": job.machine.about,
        "aims": aims_of(job.into),
        "begun": f"{job.begun:%Y-%m-%d}" if job.begun else "",
        "totals": [_totals(job, plan) for plan in job.ways],
        "compared": "" if job.behind(job.into) else compared_words(job.into),
        "progress": _progress(job),
        "tools": _tools(job),
        "beside": list(outfit(job.ways)),
        "toolbox": [
            [word, text]
            for plan, kit in _kits(job)
            for word, text in toolbox_rows(plan, kit).items()
            if word != MARKED
        ],
        "fluids": _fluids(job),
        "renew": _renew(job),
        "price": _price(job),
        "sittings": _sittings(job),
        "waits": _waits(job),
        "odd": head_lines(job.machine, findings_at(job.back or job.into), all_of_them(job.machine)),
    }


def _kits(job: PaperJob) -> list[Any]:
    plan, kit = (job.back, job.kit_back) if job.back is not None else (job.into, job.kit_in)
    return [(plan, kit)] if kit is not None else []


def _totals(job: PaperJob, plan: Plan) -> dict[str, str]:
    return {
        "way": _way(plan),
        "time": f"{hours_words(plan.hours)}; by the file's times {duration(plan.totals.seconds)}",
        "steps": str(len(plan.steps)),
        "stations": str(len(plan.stations)),
        "changes": str(plan.totals.tool_changes),
        "moves": str(plan.totals.reach_arounds),
        "gates": str(len(plan.gates)) if isinstance(plan, Refit) else "",
        "worth": " ".join(filter(None, (job.worth(plan), hands_words(plan)))),
    }


def _progress(job: PaperJob) -> str:
    """How far a job is that has begun; empty where nothing is ticked."""
    told = []
    for plan in job.ways:
        states = Counter(job.tick(plan, op.name) for op in plan.operations)
        if states["done"] or states["skipped"]:
            skipped = f", {states['skipped']} skipped" if states["skipped"] else ""
            told.append(f"{_way(plan)}: {states['done']} of {plural(len(plan.steps), 'step')} done{skipped}")
    return "; ".join(told)


def _way(plan: Plan) -> str:
    return "Way back" if isinstance(plan, Refit) else "Way in"


def _tools(job: PaperJob) -> list[dict[str, Any]]:
    lacking = {tool for kit in (job.kit_in, job.kit_back) if kit is not None for tool in kit.missing}
    return [
        {"name": tool_words(job.machine, tool), "at": at_step(job, plan, step), "missing": tool in lacking}
        for tool, (plan, step) in first_needed(job.ways).items()
    ]


def _fluids(job: PaperJob) -> list[dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for plan in job.ways:
        for step in plan.steps:
            kind, name = step.operation.kind, step.operation.subject
            if kind in (Kind.DRAIN, Kind.FILL):
                row = found.setdefault(
                    name, {"name": fluid_words(job.machine, name), "drain": "", "fill": ""}
                )
                key = "drain" if kind is Kind.DRAIN else "fill"
                row[key] = row[key] or at_step(job, plan, step.number)
    return list(found.values())


def _renew(job: PaperJob) -> list[dict[str, str]]:
    rows = []
    for part, renewal in renewals(job.into):
        price = f"{float(renewal.price * renewal.count):.2f}" if renewal.price is not None else ""
        rows.append(
            {
                "count": str(renewal.count),
                "item": renewal.item,
                "part": _beside(renewal.item, part_words(job.machine, part)),
                "price": price,
            }
        )
    rows += [
        {"count": "", "item": one.item, "part": listing(one.uses), "price": ""}
        for one in supplies(job)
        if one.kind == "experience"
    ]
    return rows


def _beside(item: str, part: str) -> str:
    return item if item == part else f"for {part}"


def _price(job: PaperJob) -> str:
    total = sum(float(r.price or 0) * r.count for _, r in renewals(job.into))
    return f"{total:.2f}" if total else ""


def _sittings(job: PaperJob) -> list[dict[str, Any]]:
    rows = []
    for number, plan, sitting in job.sittings:
        words = stop_words(plan, sitting)
        rows.append(
            {
                "number": str(number),
                "way": _way(plan),
                "steps": step_range(sitting),
                "count": plural(len(sitting.steps), "step"),
                "time": sitting_time_short(sitting),
                "safe": sitting.stop.safe,
                "words": words[0] if words else "",
            }
        )
    return rows


def _waits(job: PaperJob) -> list[str]:
    if job.back is None:
        return []
    told = list(cure_words(job.back))
    for fluid, reason in job.back.unreachable_fills:
        name = name_of(fluid, job.machine.fluids[fluid].label)
        told.append(f"{name}: where it is filled can't be reached in this order: {reason}")
    return list(dict.fromkeys(told))
