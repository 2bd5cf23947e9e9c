"""The stations that a job has before it, as the terminal and the page show them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sequencer.document.clean import clean
from sequencer.document.evenings.evening import opening_words
from sequencer.document.steps.cards import StationCard, StepCard, refit_cards, teardown_cards
from sequencer.graph.operations import Kind, Op
from sequencer.job.evenings.opened import openings
from sequencer.job.now.closing import so_far
from sequencer.job.now.gates import gate_joint
from sequencer.job.now.moment import Moment
from sequencer.plan.plan import Refit, Teardown

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment


def cards_of(
    moment: Moment,
    kit: Equipment | None = None,
    newest: int | None = None,
    *,
    person: str = "",
    now: datetime | None = None,
) -> list[StationCard]:
    """The stations that are left, in words: as in the plan, with bags and this job's own notes.

    Where ``newest`` is given, a step has at most so many of this job's notes, and says how many came before.
    What opens something that can't be left says so, for ``person``'s evening as it is ``now``.
    """
    plan = moment.plan
    opens = {
        one.step.number: opening_words(one) for one in openings(moment, person, now or datetime.now(UTC))
    }
    stations = (
        refit_cards(plan, kit=kit)
        if isinstance(plan, Refit)
        else teardown_cards(plan)
        if isinstance(plan, Teardown)
        else []
    )
    return [
        replace(
            station,
            steps=tuple(
                replace(_own(moment, step, newest), opens=opens.get(step.number, ""))
                for step in station.steps
            ),
        )
        for station in stations
    ]


def _own(moment: Moment, step: StepCard, newest: int | None) -> StepCard:
    op = Op(step.operation)
    bag, label = moment.bags.get(op.subject), moment.labels.get(op.subject)
    lines = list(step.lines)
    if op.kind is Kind.UNDO and label:
        lines.append(f"label both sides {label.mark} first: {label.why}")
    if op.kind is Kind.UNDO and bag:
        lines.append(f"into bag {bag.number}")
    if op.kind is Kind.FASTEN and bag:
        lines.append(f"from bag {bag.number}")
    if op.kind is Kind.FASTEN and label:
        lines.append(f"the two labels {label.mark} go together")
    joint = gate_joint(moment, step.operation)
    if joint and (text := so_far(moment, joint)):
        lines.append(clean(text))
    noted = moment.notes.get(step.operation, [])
    earlier = max(len(noted) - newest, 0) if newest is not None else 0
    told = [f"{earlier} more before these"] if earlier else []
    noted = [*told, *map(clean, noted[earlier:])]
    return replace(step, lines=tuple(lines), notes=(*step.notes, *noted))
