"""What cures, until when, and what was done before it had: the same lines for terminal, page and record."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sequencer.document.clean import clean
from sequencer.document.words import duration
from sequencer.graph.operations import Kind, Op
from sequencer.graph.said import path_words, sentence
from sequencer.job.now.moment import Moment
from sequencer.job.work.curing import Cure, cures, local_time
from sequencer.machine.called import name_of
from sequencer.wording import listing


def cure_lines(moment: Moment, now: datetime | None = None) -> list[str]:
    """A line for each sealant that still cures, and one for each step that did not wait for its sealant."""
    now = now or datetime.now(UTC)
    lines: list[str] = []
    for cure in cures(moment):
        where = _where(moment, cure)
        if cure.runs(now) and cure.until is not None:
            left = duration((cure.until - now).total_seconds())
            waiting = " or ".join(filter(None, (_fills(moment, cure), "run the machine")))
            lines.append(f"{where} cures until {local_time(cure.until)} ({left}): don't {waiting} before")
        for op, event in cure.against:
            why = f": {_why(event.body)}" if _why(event.body) else ""
            who = f" by {event.person}" if event.person else ""
            lines.append(
                f"{_says(moment, op)}{who} at {local_time(event.time)}, before {where} had cured{why}"
            )
    return [clean(line) for line in lines]


def _why(body: Mapping[str, Any]) -> str:
    return str(body.get("anyway") or "")


def _where(moment: Moment, cure: Cure) -> str:
    return f"{cure.label} on {path_words(moment.machine, cure.sealed)}"


def _fills(moment: Moment, cure: Cure) -> str:
    fluids = [op.subject for op in map(Op, cure.holds) if op.kind is Kind.FILL]
    return f"fill {listing(_fluid(moment, one) for one in fluids)}" if fluids else ""


def _fluid(moment: Moment, name: str) -> str:
    return name_of(name, moment.machine.fluids[name].label)


def _says(moment: Moment, op: str) -> str:
    operation = moment.operations.get(op)
    return sentence(moment.machine, operation) if operation else op
