"""The sittings of a sheet, each with its stations: the cards that the terminal shows, with boxes at gates."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any
from unicodedata import bidirectional

from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.steps.cards import StationCard, StepCard
from sequencer.plan.closing.tightening import loosening
from sequencer.plan.hazards.cautions import cautions
from sequencer.plan.plan import Plan, Refit
from sequencer.render.sheet.gates import closing_data, gate_data, order_data
from sequencer.render.sheet.heads import cut_of, head_data, stop_data

_PLAIN_SOURCES = ("file", "common practice")


def sections(job: PaperJob) -> list[dict[str, Any]]:
    """A section for each sitting, or for each way that is done in one go; each begins a page."""
    return [one for plan in job.ways for one in _way(job, plan)]


def _way(job: PaperJob, plan: Plan) -> Iterator[dict[str, Any]]:
    cards, steps = paper_cards(job, plan), _Steps(job, plan)
    for number, sitting in cut_of(job, plan):
        inside = {step.number for step in sitting.steps}
        here = [_within(card, inside) for card in cards]
        yield {
            "head": head_data(job, plan, number, sitting),
            "stations": [_station(steps, card) for card in here if card.steps],
            "stop": stop_data(plan, number, sitting),
        }


def _within(card: StationCard, numbers: set[int]) -> StationCard:
    return replace(card, steps=tuple(step for step in card.steps if step.number in numbers))


def _station(steps: _Steps, card: StationCard) -> dict[str, Any]:
    return {
        "code": card.code,
        "where": card.where,
        "tool": card.tool,
        "time": card.time,
        "steps": [steps.data(step) for step in card.steps],
    }


class _Steps:
    """The steps of one way as the template reads them."""

    def __init__(self, job: PaperJob, plan: Plan) -> None:
        self.job, self.plan = job, plan
        self.warned = _warned(plan)
        self.ordered = {} if plan.back else loosening(plan)
        self.gates = {gate.step: gate for gate in plan.gates} if isinstance(plan, Refit) else {}

    def data(self, card: StepCard) -> dict[str, Any]:
        """One step."""
        gate = self.gates.get(card.number)
        return {
            "number": card.number,
            "words": card.words,
            "details": card.details,
            "purpose": card.purpose,
            "apart": any(bidirectional(sign) in {"R", "AL"} for sign in card.words),
            "cautions": list(self.warned.get(card.number, ())),
            "prepare": list(card.prepare),
            "lines": list(card.lines),
            "notes": [f"note: {note}" for note in card.notes],
            "look": card.look,
            "bag": self.job.bags.get(card.operation, ""),
            "ticked": self.job.tick(self.plan, card.operation),
            "picture": order_data(self.ordered.get(card.number)),
            "closes": self._closes(card.number),
            "gate": gate_data(self.job, self.plan, gate) if gate and isinstance(self.plan, Refit) else None,
        }

    def _closes(self, number: int) -> Sequence[dict[str, Any]]:
        if not isinstance(self.plan, Refit):
            return ()
        return [closing_data(self.job, self.plan, gate) for gate in self.plan.closing_off(number)]


def _warned(plan: Plan) -> Mapping[int, list[str]]:
    """The cautions at each step, with the rule of law that one goes by."""
    return {
        number: [
            clean(one.text if one.source in _PLAIN_SOURCES else f"{one.text} ({one.source})") for one in told
        ]
        for number, told in cautions(plan, sittings=plan.breaks).items()
    }
