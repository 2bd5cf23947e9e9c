"""Plans on the terminal: a lead-in, then stations, each read once before the phone is put away."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from rich.text import Text

from sequencer.graph.operations import Kind
from sequencer.plan.cautions import Caution, cautions, notice
from sequencer.plan.plan import Plan, Station, Step, Teardown
from sequencer.plan.prefer import Prefer
from sequencer.plan.supplies import renewals
from sequencer.plan.tightening import loosening
from sequencer.views.lines import clean, hanging
from sequencer.views.notes import notes, usual
from sequencer.views.opens import frees
from sequencer.views.toolbox_text import toolbox_rows
from sequencer.views.torques import loosening_words
from sequencer.views.words import (
    duration,
    fastening,
    fluid_words,
    laid_out,
    listing,
    part_words,
    plural,
    sentence,
    target_words,
    tool_words,
)

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment

INDENT = " " * 6
"""Before what belongs to a numbered line."""

MARK = "!"
"""Stands before a caution, so that it is seen without colour."""

USUAL = "~"
"""Stands before a time that rests on usual times of the trade."""


def print_teardown(plan: Teardown, console: Console, kit: Equipment | None = None) -> None:
    """Print the whole plan: headline, lead-in, stations, totals; with ``kit`` also what the toolbox lacks."""
    aims = aims_of(plan)
    print_head(plan, f"{aims}: the way in", console)
    if not plan.steps:
        hanging(console, "Nothing has to move: the target is clear as it stands.")
        return
    _compared(plan, console)
    lead_in(plan, console, kit)
    warned, noted, ordered = cautions(plan.machine, plan.steps), notes(plan), loosening(plan)
    for station in plan.stations:
        print_station(plan, station, console)
        for step in station.steps:
            print_step(plan, step, warned.get(step.number, ()), console)
            if step.number in ordered:
                hanging(console, loosening_words(ordered[step.number]), lead=INDENT)
            if opened := frees(plan, step):
                hanging(console, opened, lead=INDENT, style="dim")
            print_notes(noted.get(step.number, ()), console)
    console.print()
    hanging(console, f"Done: {aims}.", style="bold")


def aims_of(plan: Plan) -> str:
    """What the job is for, in words."""
    return listing(target_words(plan.machine, target) for target in plan.targets)


def print_head(plan: Plan, title: str, console: Console) -> None:
    """The machine, the target, and what the whole of it comes to."""
    hanging(console, plan.machine.name, style="bold")
    hanging(console, title, style="bold")
    if not plan.steps:
        return
    totals = plan.totals
    hanging(
        console,
        f"{duration(totals.seconds)}; {plural(totals.tool_changes, 'tool change')}, "
        f"{plural(totals.reach_arounds, 'reach-around')}; {plural(len(plan.steps), 'step')} "
        f"in {plural(len(plan.stations), 'station')}.",
    )
    hanging(console, worth(plan))


def worth(plan: Plan) -> str:
    """How good the order is proven to be, in a sentence."""
    fewest = {
        Prefer.TIME: "no other order takes less time",
        Prefer.TOOL_CHANGES: "no other order has fewer tool changes, nor as few in less time",
        Prefer.REACH_AROUNDS: "no other order has fewer reach-arounds, nor as few in less time",
    }
    if plan.proven:
        return f"Proven: {fewest[plan.prefer]}."
    counted = {Prefer.TOOL_CHANGES: "tool change", Prefer.REACH_AROUNDS: "reach-around"}.get(plan.prefer)
    if counted and plan.bound_count < plan.totals.count(plan.prefer):
        return f"Best found, not proven: at least {plural(plan.bound_count, counted)} are needed."
    left = duration(max(float(plan.totals.seconds - plan.bound_seconds), 1.0))
    return (
        f"Best found, not proven: at least {duration(plan.bound_seconds)} are needed, "
        f"so at most {left} ({float(plan.gap):.1%}) could still be saved."
    )


def _compared(plan: Teardown, console: Console) -> None:
    other = plan.top_to_bottom
    saved = other.seconds - plan.totals.seconds
    if saved:
        verdict = f"this order {'saves' if saved > 0 else 'costs'} {duration(abs(saved))}"
    else:
        verdict = "this order takes the same time"
    hanging(
        console,
        f"Taking the file from top to bottom: {duration(other.seconds)}, "
        f"{plural(other.tool_changes, 'tool change')}, "
        f"{plural(other.reach_arounds, 'reach-around')}; {verdict}.",
    )


def lead_in(plan: Plan, console: Console, kit: Equipment | None = None) -> None:
    """What to have ready before the first step, what is missing of it, and what to know of the figures."""
    machine = plan.machine
    tools = laid_out(machine, (operation.tool for operation in plan.operations))
    rows = {"Lay out": listing(tools) or "no tools"}
    if kit is not None:
        rows |= toolbox_rows(plan, kit)
    fluids = dict.fromkeys(op.subject for op in plan.operations if op.kind in (Kind.DRAIN, Kind.FILL))
    if fluids:
        verb = "Catch" if isinstance(plan, Teardown) else "Fill"
        rows[verb] = "; ".join(fluid_words(machine, name) for name in fluids)
    if new := _renewal_words(plan):
        rows["Renew"] = new
    if count := usual(plan, plan.steps):
        rows["Times"] = (
            f"{USUAL} marks what rests on usual times of the trade, for want of one in the file "
            f"({count} of {plural(len(plan.steps), 'step')})"
        )
    rows["Mind"] = notice()
    console.print()
    for word, text in rows.items():
        hanging(console, text, lead=f"{word:<9}")


def _renewal_words(plan: Plan) -> str:
    items = []
    total = 0.0
    for _, renewal in renewals(plan):
        items.append(f"{renewal.count} × {renewal.item}" if renewal.count > 1 else renewal.item)
        total += float(renewal.price or 0) * renewal.count
    priced = f" (by the prices in the file {total:.2f})" if total else ""
    return listing(items) + priced if items else ""


def print_station(plan: Plan, station: Station, console: Console) -> None:
    """Where to stand and what to hold, and how long that takes, the way there included."""
    where = clean(plan.machine.positions[station.position].label)
    head = Text(f"{where} · {clean(tool_words(plan.machine, station.tool))}", style="bold")
    mark = USUAL if usual(plan, station.steps) else ""
    head.append(f"   {mark}{duration(station.seconds)}", style="dim")
    console.print()
    hanging(console, head, hang=2)


def print_step(plan: Plan, step: Step, warned: Iterable[Caution], console: Console) -> None:
    """One numbered line, its cautions above it."""
    for caution in warned:
        hanging(console, caution.text, lead=f"{INDENT}{MARK} ", style="bold yellow")
    line = Text(clean(sentence(plan.machine, step.operation)))
    if details := step_details(plan, step):
        line.append(f"  ({clean(details)})")
    hanging(console, line, lead=f"{step.number:>4}  ")


def print_notes(texts: Iterable[str], console: Console) -> None:
    """The author's notes, under their step."""
    for text in texts:
        hanging(console, text, lead=f"{INDENT}note: ", hang=len(INDENT) + 2)


def step_details(plan: Plan, step: Step) -> str:
    """Count and size of the fasteners, the weight of what is carried, what it holds against."""
    operation = step.operation
    if operation.part is None:
        return ""
    part = plan.machine.parts[operation.part]
    if operation.joint is None:
        return f"{part.weight_kg:g} kg" if part.weight_kg else ""
    joint = part.joints[operation.joint]
    details = [fastening(joint)]
    if operation.kind is Kind.CRACK and joint.crack:
        holding = [part_words(plan.machine, name) for name in joint.crack.while_parts]
        details.append(f"while {listing(holding)} {'hold' if len(holding) > 1 else 'holds'} it")
    return ", ".join(detail for detail in details if detail)
