"""Plans on the terminal: a lead-in, then stations, each read once before the phone is put away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from sequencer.graph.operations import Kind
from sequencer.plan.cautions import notice
from sequencer.plan.plan import Plan, Teardown
from sequencer.plan.prefer import Prefer
from sequencer.plan.supplies import renewals
from sequencer.views.cards import USUAL, StationCard, StepCard, teardown_cards
from sequencer.views.compared import compared_words
from sequencer.views.lines import hanging
from sequencer.views.notes import usual
from sequencer.views.toolbox_text import toolbox_rows
from sequencer.views.words import (
    duration,
    fluid_words,
    laid_out,
    listing,
    plural,
    target_words,
)

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment

INDENT = " " * 6
"""Before what belongs to a numbered line."""

MARK = "!"
"""Stands before a caution, so that it is seen without colour."""

GATE = "GATE  "
"""Stands before a torque, so that no gate is passed over."""


def print_teardown(plan: Teardown, console: Console, kit: Equipment | None = None) -> None:
    """Print the whole plan: headline, lead-in, stations, totals; with ``kit`` also what the toolbox lacks."""
    aims = aims_of(plan)
    print_head(plan, f"{aims}: the way in", console)
    if not plan.steps:
        hanging(console, "Nothing has to move: the target is clear as it stands.")
        return
    compared(plan, console)
    lead_in(plan, console, kit)
    for station in teardown_cards(plan):
        print_station(station, console)
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


def compared(plan: Teardown, console: Console) -> None:
    """What the order of the file itself would cost, against the plan."""
    hanging(console, compared_words(plan))


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


def print_station(station: StationCard, console: Console) -> None:
    """Where to stand and what to hold, how long that takes with the way there, and the steps."""
    head = Text(f"{station.where} · {station.tool}", style="bold")
    head.append(f"   {station.time}", style="dim")
    console.print()
    hanging(console, head, hang=2)
    for step in station.steps:
        _print_step(step, console)


def _print_step(step: StepCard, console: Console) -> None:
    """One numbered line, its cautions above it and all that belongs to it below."""
    for caution in step.cautions:
        hanging(console, caution, lead=f"{INDENT}{MARK} ", style="bold yellow")
    words = Text(f"{step.words}  ({step.details})" if step.details else step.words)
    hanging(console, words, lead=f"{step.number:>4}  ")
    for line in step.lines:
        hanging(console, line, lead=INDENT)
    if step.frees:
        hanging(console, step.frees, lead=INDENT, style="dim")
    for note in step.notes:
        hanging(console, note, lead=f"{INDENT}note: ", hang=len(INDENT) + 2)
    for number, line in enumerate(step.gate):
        lead = " " * len(GATE) if number else GATE
        hanging(console, line, lead=INDENT + lead, style="" if number else "bold")
    if step.closes:
        hanging(console, step.closes, lead=f"{INDENT}── ", style="bold")
