"""The stations of a job alone, for one page on the wall."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from sequencer.document.hours import hours_words
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.steps.cards import StationCard
from sequencer.plan.plan import Plan


def brief_data(job: PaperJob) -> list[dict[str, Any]]:
    """Each way with its places in a row, and at each its stations."""
    return [
        {
            "title": f"{'The way back' if plan.back else 'The way in'}, {hours_words(plan.hours)}",
            "places": [
                {"where": where, "stations": [_station(job, plan, card) for card in run]}
                for where, run in groupby(paper_cards(job, plan), key=lambda card: card.where)
            ],
        }
        for plan in job.ways
        if plan.steps
    ]


def _station(job: PaperJob, plan: Plan, card: StationCard) -> dict[str, Any]:
    first, last = card.steps[0].number, card.steps[-1].number
    return {
        "code": card.code,
        "tool": card.tool,
        "about": card.about,
        "steps": str(last) if first == last else f"{first}–{last}",
        "gates": sum(bool(step.gate) for step in card.steps),
        "closes": any(step.closes for step in card.steps),
        "done": all(job.tick(plan, step.operation) for step in card.steps),
    }
