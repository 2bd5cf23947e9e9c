"""A job as CSV, a line for each step, and as Markdown with boxes to tick."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sequencer.document.bidi import kept_apart
from sequencer.document.clean import clean
from sequencer.document.evenings.sittings import stop_words
from sequencer.document.hours import hours_words
from sequencer.document.lists.parts import parts_list
from sequencer.document.lists.rows import Listing
from sequencer.document.lists.tools import tools_list
from sequencer.document.plans.both_ways import PaperJob, paper_cards
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.cards import StationCard, StepCard
from sequencer.document.steps.more_hands import hands_words
from sequencer.machine.model import Subject
from sequencer.plan.hazards.cautions import notice
from sequencer.plan.plan import Plan, Refit, Step
from sequencer.quantities import AngleQuantity, TorqueQuantity
from sequencer.render.export.as_data import way_of
from sequencer.render.rows import as_csv

HEADS = (
    "way", "number", "operation", "says", "details", "position", "tool", "seconds", "change_seconds", "bag",
    "gate", "closes", "cautions", "notes", "sitting", "ticked", "station", "count", "torque", "unit", "angle",
)  # fmt: skip
"""The columns. Numbers stand alone in theirs: seconds, count, torque in ``unit``, angle in degrees."""

# What CommonMark, or HTML inside it, would read as markup; a backslash makes each plain (CommonMark 2.4).
_MARKUP = re.compile(r"([\\`*_\[\]<>|~&#]|^[-+=]|(?<=^\d)[.)](?=\s))")


_BOXES = {"": ("[ ]", ""), "done": ("[x]", ""), "skipped": ("[ ]", " *(skipped)*")}


def job_csv(job: PaperJob) -> str:
    """A line for each step of both ways."""
    return as_csv(HEADS, [_row(job, plan, *one) for plan in job.ways for one in _steps(job, plan)])


def _row(job: PaperJob, plan: Plan, step: Step, card: StepCard, station: StationCard) -> tuple[str, ...]:
    sitting = (str(n) for n, whose, one in job.sittings if whose is plan and step in one.steps)
    return (
        way_of(job, plan), str(step.number), step.operation.name, card.words, card.details,
        step.operation.position, step.operation.tool, f"{float(step.seconds):g}",
        f"{float(step.change_seconds):g}", job.bags.get(step.operation.name, ""), " | ".join(card.gate),
        card.closes, " | ".join(card.cautions), " | ".join((*_before(card), *card.lines)),
        next(sitting, ""), job.tick(plan, step.operation.name), station.code, *_numbers(plan, step),
    )  # fmt: skip


def _numbers(plan: Plan, step: Step) -> tuple[str, str, str, str]:
    """How many fasteners, and at a gate its last torque, the unit of that, and how far it is turned on."""
    gates = plan.gates if isinstance(plan, Refit) else ()
    gate = next((gate.joint for gate in gates if gate.step == step.number), "")
    about = Subject(gate or step.operation.subject)
    if not about.joint:
        return "", "", "", ""
    joint = plan.machine.joint_at(about)
    stages = joint.torque.stages if joint.torque and gate else ()
    torques = [stage for stage in stages if isinstance(stage, TorqueQuantity)]
    degrees = sum(stage.degrees for stage in stages if isinstance(stage, AngleQuantity))
    value, unit = (f"{float(torques[-1].value):g}", torques[-1].unit) if torques else ("", "")
    return str(joint.count), value, unit, f"{float(degrees):g}" if degrees else ""


def _before(card: StepCard) -> Iterator[str]:
    yield from card.notes
    if card.look:
        yield card.look
    yield from (f"before it: {entry}" for entry in card.prepare)


def _steps(job: PaperJob, plan: Plan) -> Iterator[tuple[Step, StepCard, StationCard]]:
    cards = {card.number: (card, station) for station in paper_cards(job, plan) for card in station.steps}
    return ((step, *cards[step.number]) for step in plan.steps)


def job_markdown(job: PaperJob) -> str:
    """The job as CommonMark with task lists, readable as plain text too."""
    lines = [f"# {plain(job.machine.name)}", "", f"**{plain(aims_of(job.into))}**, {job.on.isoformat()}", ""]
    lines += [f"> {plain(notice())}", ""]
    for listing in (parts_list(job), tools_list(job)):
        lines += _table(listing)
    for plan in job.ways:
        way = "The way back" if isinstance(plan, Refit) else "The way in"
        lines += [f"## {way}: {hours_words(plan.hours)}", "", plain(job.worth(plan)), ""]
        lines += [plain(words), ""] if (words := hands_words(plan)) else []
        for station in paper_cards(job, plan):
            head = plain(f"{station.where} · {station.tool}")
            lines += [f"### {station.code} {head} ({plain(station.time)})", ""]
            for card in station.steps:
                lines += [*_card(job, plan, card), *_stop(job, plan, card.number)]
            lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _card(job: PaperJob, plan: Plan, card: StepCard) -> Iterator[str]:
    for caution in card.cautions:
        yield f"- **Caution:** {plain(caution)}"
    if card.closes:
        yield f"- **{plain(card.closes)}**"
    for line in (*card.notes, card.look):
        if line:
            yield f"- {plain(line)}"
    box, more = _BOXES[job.tick(plan, card.operation)]
    for entry in card.prepare:
        yield f"- {box} before {card.number}: {plain(entry)}"
    details = f" ({plain(card.details)})" if card.details else ""
    bag = f" **{plain(job.bags[card.operation])}**" if card.operation in job.bags else ""
    yield f"- {box} {card.number} {plain(card.words)}{details}{bag}{more}"
    for place, line in enumerate(card.gate):
        yield f"  - **GATE {plain(line)}**" if place == 0 else f"  - {plain(line)}"
    for line in card.lines:
        yield f"  - {plain(line)}"


def _stop(job: PaperJob, plan: Plan, step: int) -> Iterator[str]:
    for number, whose, sitting in job.sittings:
        if whose is plan and sitting.last == step:
            yield ""
            yield f"**End of sitting {number}.** {plain(' '.join(stop_words(plan, sitting)))}".rstrip()
            yield ""


def _table(listing: Listing) -> list[str]:
    rows = [" | ".join(plain(cell) for cell in row) for row in listing.rows]
    heads = ["| " + " | ".join(listing.heads) + " |", "|" + " --- |" * len(listing.heads)]
    body = [f"| {row} |" for row in rows]
    return [f"## {plain(listing.title)}", "", *heads, *body, "", *(plain(note) for note in listing.notes), ""]


def plain(text: str) -> str:
    """Text that Markdown shows as it is."""
    return _MARKUP.sub(r"\\\1", kept_apart(clean(text)))
