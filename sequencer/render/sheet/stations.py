"""The stations of a sheet: the cards that the terminal shows, with gates, heavy rules and stops between."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from math import dist
from typing import Any
from unicodedata import bidirectional

from sequencer.document.both_ways import Job
from sequencer.document.cards import StationCard, StepCard, gate_lines, refit_cards, teardown_cards
from sequencer.document.clean import clean
from sequencer.document.hours import hours_words
from sequencer.document.sittings import needed, sitting_title, stop_words, why_words
from sequencer.document.torques import stage_words
from sequencer.document.words import joint_words, plural
from sequencer.plan.plan import Gate, Plan, Refit, Teardown
from sequencer.plan.tightening import order_of, passes_of
from sequencer.quantities import Stage, TorqueQuantity


def way_data(job: Job, plan: Plan) -> dict[str, Any]:
    """One way as the template reads it."""
    if isinstance(plan, Refit):
        cards = refit_cards(plan, job.unit, job.kit_back)
        title = f"The way back: {plural(len(plan.gates), 'torque gate')}"
    else:
        assert isinstance(plan, Teardown)
        cards = teardown_cards(plan)
        title = "The way in"
    steps = plural(len(plan.steps), "step")
    return {
        "title": f"{title}, {steps}, {hours_words(plan.hours)}",
        "figure": _common_figure(plan) or "",
        "apart": plan.back and bool(job.sittings_back),
        "stations": [_station(job, plan, card) for card in cards],
    }


def _common_figure(plan: Plan) -> str | None:
    """Where most of the torques come from, where more than one say so: said once instead of at every gate."""
    if not isinstance(plan, Refit):
        return None
    torques = (plan.machine.joint(*gate.joint.split("/", 1)).torque for gate in plan.gates)
    told = Counter(torque.source for torque in torques if torque and torque.source)
    source, times = next(iter(told.most_common(1)), ("", 0))
    return source if times > 1 else None


def _station(job: Job, plan: Plan, card: StationCard) -> dict[str, Any]:
    return {
        "number": card.number,
        "where": card.where,
        "tool": card.tool,
        "time": card.time,
        "steps": [_step(job, plan, step) for step in card.steps],
        "begins": _begins(job, plan, card.steps[0].number),
    }


def _begins(job: Job, plan: Plan, step: int) -> dict[str, Any] | None:
    """The head of a sitting that begins with ``step``; those after the first of a way begin a page."""
    for number, whose, sitting in job.sittings:
        if whose is plan and sitting.first == step:
            needs = [[name, clean(words)] for name, words in needed(plan, sitting)]
            return {
                "title": clean(sitting_title(plan, sitting, number)),
                "needs": needs,
                "apart": sitting.number > 1,
            }
    return None


def _step(job: Job, plan: Plan, card: StepCard) -> dict[str, Any]:
    data: dict[str, Any] = {
        "number": card.number,
        "words": card.words,
        "details": card.details,
        "purpose": card.purpose,
        "apart": any(bidirectional(sign) in {"R", "AL"} for sign in card.words),
        "cautions": list(card.cautions),
        "prepare": list(card.prepare),
        "lines": list(card.lines),
        "notes": [f"note: {note}" for note in card.notes] + ([card.look] if card.look else []),
        "bag": job.bags.get(card.operation, ""),
        "ticked": job.tick(plan, card.operation),
        "stop": _stop(job, plan, card.number),
    }
    if isinstance(plan, Refit):
        data["closes"] = [_closing(job, plan, gate) for gate in plan.closing_off(card.number)]
        gate = next((gate for gate in plan.gates if gate.step == card.number), None)
        data["gate"] = _gate(job, plan, gate) if gate else None
    return data


def _closing(job: Job, plan: Refit, gate: Gate) -> dict[str, Any]:
    part, _, name = gate.joint.partition("/")
    operation = next(step.operation.name for step in plan.steps if step.number == gate.step)
    says = f"{joint_words(plan.machine, part, name)} (step {gate.step})"
    return {"says": says, "done": job.tick(plan, operation) == "done"}


def _gate(job: Job, plan: Refit, gate: Gate) -> dict[str, Any]:
    part, _, name = gate.joint.partition("/")
    joint = plan.machine.joint(part, name)
    assert joint.torque is not None
    stages = joint.torque.stages
    # The heavy rule before the closing step says the one; the head of the way back says the other.
    said = _common_figure(plan)
    torque, *lines = map(
        clean, gate_lines(plan, gate, job.unit, job.kit_back, source_said=said, closing_said=True)
    )
    return {
        "torque": torque,
        "lines": lines,
        "boxes": [_box(stage, job.unit) for stage in stages]
        or [{"says": "torque, and where it is from", "unit": job.unit or "N.m"}],
        "picture": _picture(plan, part, name),
        "passes": len(passes_of(joint)),
    }


def _box(stage: Stage, unit: str | None) -> dict[str, str]:
    """A box to write a stage's reading into: what it should be, and the unit of the reading."""
    if isinstance(stage, TorqueQuantity):
        return {"says": stage_words(stage, unit), "unit": unit or stage.unit}
    return {"says": stage.text, "unit": "done"}


def _picture(plan: Refit, part: str, name: str) -> dict[str, Any] | None:
    """The order of a joint's fasteners: places as shares of the longer side, and what to write there."""
    order = order_of(plan.machine.joint(part, name))
    if order is None or not order.pictured or len(order.at) < 2:
        return None
    xs, ys = [x for x, _ in order.at], [y for _, y in order.at]
    width, height = max(xs) - min(xs), max(ys) - min(ys)
    size = max(width, height) or 1.0
    rank = {label: number for number, label in enumerate(order.tighten, start=1)}
    return {
        "near": min(dist(a, b) for a, b in combinations(order.at, 2)) / size,
        "aspect": height / size if width >= height else 1.0,
        "across": 1.0 if width >= height else width / size,
        "bolts": [
            {
                "x": (x - min(xs)) / size,
                "y": (max(ys) - y) / size,
                "rank": rank[label],
                "label": "" if str(rank[label]) == str(label) else str(label),
            }
            for label, (x, y) in zip(order.labels, order.at, strict=True)
        ],
    }


def _stop(job: Job, plan: Plan, step: int) -> dict[str, Any] | None:
    """The end of a sitting after ``step``."""
    for number, whose, sitting in job.sittings:
        if whose is plan and sitting.last == step:
            words, safe = [why_words(sitting), *stop_words(plan, sitting)], sitting.stop.safe
            return {
                "number": number,
                "lines": words,
                "safe": safe,
                "time": hours_words(sitting.hours),
            }
    return None
