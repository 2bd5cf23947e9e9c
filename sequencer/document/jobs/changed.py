"""What a new plan changes, in three lines: what is new, what it costs, what moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from sequencer.document.blocks import Fields
from sequencer.document.hours import hours_words
from sequencer.document.words import duration, plural
from sequencer.graph.operations import Operation
from sequencer.graph.said import sentence
from sequencer.job.journal.events import EventKind
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import hours_left
from sequencer.wording import listing

MOST_NAMED = 4
"""Steps that a line names before it counts the rest."""


def three_lines(moment: Moment, body: Mapping[str, Any]) -> tuple[str, str, str]:
    """The lines for the body of a ``changed`` event; ``moment`` is after it."""
    operations = {step.operation.name: step.operation for step in moment.plan.steps}
    last = moment.state.last
    hours = hours_left(moment, last.event.person if last else "")
    return (
        _new(moment, operations, body),
        f"{_cost(Fraction(str(body['seconds'])))}; {hours_words(hours) if hours else 'nothing'} left",
        _moved(moment, operations, body),
    )


def change_rows(moment: Moment, body: Mapping[str, Any]) -> Fields:
    """The three lines as rows."""
    lines = three_lines(moment, body)
    return Fields(
        tuple((word, f"{line}.") for word, line in zip(("New", "Costs", "Moved"), lines, strict=True))
    )


def says_nothing(body: Mapping[str, Any]) -> bool:
    """No step is new, gone or moved, and no time is added: there is nothing to tell."""
    return not (body["new"] or body["dropped"] or body["moved"] or Fraction(str(body["seconds"])))


def last_change(moment: Moment) -> Mapping[str, Any] | None:
    """The body of the last plan that was made on the way; None for the first one."""
    plans = [one.event.body for one in moment.state.of(EventKind.CHANGED)]
    return plans[-1] if plans and "new" in plans[-1] else None


def _new(moment: Moment, operations: Mapping[str, Operation], body: Mapping[str, Any]) -> str:
    new = _said(moment, operations, body["new"])
    text = new or "no step"
    if body["dropped"]:
        text += f"; no longer needed: {_said(moment, operations, body['dropped'])}"
    return text


def _cost(seconds: Fraction) -> str:
    if not seconds:
        return "no time"
    return f"{duration(seconds)} more" if seconds > 0 else f"{duration(-seconds)} less"


def _moved(moment: Moment, operations: Mapping[str, Operation], body: Mapping[str, Any]) -> str:
    saving = Fraction(str(body["saving"]))
    if body["reshuffled"]:
        count = plural(len(body["moved"]), "step")
        return f"{count}, for another order saves {duration(saving)}"
    text = (
        f"{_said(moment, operations, body['moved'])}; the rest keeps its order"
        if body["moved"]
        else "nothing; what was planned keeps its order"
    )
    if saving >= 1:
        text += f" (the quickest order of all would save {duration(saving)})"
    return text


def _said(moment: Moment, operations: Mapping[str, Operation], ops: Sequence[str]) -> str:
    """Steps by number and sentence."""
    pieces = []
    for op in ops:
        operation = operations.get(op) or moment.whole.operations.get(op)
        says = sentence(moment.machine, operation) if operation else op
        number = moment.state.number(op)
        pieces.append(f"{number} {says}" if number is not None and op in operations else says)
    return listing(pieces, MOST_NAMED)
