"""The head of a sitting: where it begins, how long it is, what to lay out and have bought, where it ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from sequencer.document.clean import clean
from sequencer.document.evenings.sittings import needed, sitting_time, step_range, stop_words, why_words
from sequencer.document.hours import hours_words
from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.steps.outfit import outfit
from sequencer.document.words import plural
from sequencer.plan.evenings.evenings import in_one_go
from sequencer.plan.evenings.sittings import Sitting
from sequencer.plan.plan import Plan, Refit
from sequencer.render.sheet.gates import common_figure
from sequencer.wording import listing

MOST_PLACES = 3


def cut_of(job: PaperJob, plan: Plan) -> list[tuple[int, Sitting]]:
    """The sittings of a way, numbered through both; number 0 for a way that is done in one go."""
    cut = [(number, sitting) for number, whose, sitting in job.sittings if whose is plan]
    return cut or ([(0, in_one_go(plan))] if plan.steps else [])


def head_data(job: PaperJob, plan: Plan, number: int, sitting: Sitting) -> dict[str, Any]:
    """The head as the template reads it: a title, and rows of a name and words."""
    way = "the way back" if plan.back else "the way in"
    name = f"Sitting {number} of {len(job.sittings)}: {way}" if number else f"T{way[1:]}"
    return {
        "title": f"{name}, {step_range(sitting)}",
        "rows": [[name, clean(words)] for name, words in _rows(plan, number, sitting)],
    }


def _rows(plan: Plan, number: int, sitting: Sitting) -> Iterator[tuple[str, str]]:
    part = replace(plan, steps=sitting.steps)
    if isinstance(part, Refit):
        inside = {step.number for step in sitting.steps}
        part = replace(
            part,
            gates=tuple(gate for gate in part.gates if gate.step in inside),
            holds=tuple(hold for hold in part.holds if hold.after_step in inside),
        )
    if number:
        yield "Where", _where(part)
    yield "How long", _how_long(part, number, sitting)
    if number:
        yield from needed(plan, sitting)
        if beside := outfit([part]):
            yield "Also", listing(beside)
    if figure := common_figure(plan):
        yield "Torque figures, unless noted", figure
    verdict = stop_words(plan, sitting)
    if number or verdict:
        yield "Ends", f"after step {sitting.last}: {verdict[0] if verdict else 'All is back.'}"


def _where(part: Plan) -> str:
    """The places in the order in which they come, the first few by name."""
    labels = (part.machine.positions[step.operation.position].label for step in part.steps)
    return listing(dict.fromkeys(labels), MOST_PLACES)


def _how_long(part: Plan, number: int, sitting: Sitting) -> str:
    time = sitting_time(sitting) if number else hours_words(part.hours)
    gates = ""
    if isinstance(part, Refit) and part.gates:
        gates = f", {plural(len(part.gates), 'torque gate')} (boxes: reading, initials)"
    stations = plural(len(part.stations), "station")
    return f"{time}; {plural(len(part.steps), 'step')} in {stations}{gates}"


def stop_data(plan: Plan, number: int, sitting: Sitting) -> dict[str, Any] | None:
    """The end of a sitting: what to see to before you go; None where a way just ends."""
    if not number:
        return None
    return {
        "title": f"End of sitting {number} ({hours_words(sitting.hours)})",
        "lines": [clean(line) for line in (why_words(sitting), *stop_words(plan, sitting))],
    }
