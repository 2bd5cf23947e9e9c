"""Plans on the terminal: a lead-in, then stations, each read once before the phone is put away."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from rich.text import Text

from sequencer.graph.operations import Kind
from sequencer.graph.targets import Target
from sequencer.machine.model import Machine
from sequencer.plan.cautions import Caution, cautions, notice
from sequencer.plan.plan import Plan, Station, Step, Teardown
from sequencer.plan.prefer import Prefer
from sequencer.plan.supplies import renewals
from sequencer.views.opens import frees
from sequencer.views.words import (
    duration,
    fastening,
    joint_words,
    laid_out,
    listing,
    name_of,
    part_words,
    plural,
    sentence,
    tool_words,
)

if TYPE_CHECKING:
    from rich.console import Console

INDENT = 6
"""Columns before what belongs to a numbered line."""

MARK = "!"
"""Stands before a caution, so that it is seen without colour."""


def print_teardown(plan: Teardown, console: Console) -> None:
    """Print the whole plan: headline, lead-in, stations, totals."""
    print_head(plan, f"{_aims(plan)}: the way in", console)
    if not plan.steps:
        console.print("Nothing has to move: the target is clear as it stands.")
        return
    _compared(plan, console)
    lead_in(plan, console)
    at = cautions(plan.machine, plan.steps)
    for station in plan.stations:
        print_station(plan, station, at, console, {step.number: frees(plan, step) for step in station.steps})
    console.print()
    console.print(f"Done: {_aims(plan)}.", style="bold", highlight=False)


def print_head(plan: Plan, title: str, console: Console) -> None:
    """The machine, the target, and what the whole of it comes to."""
    console.print(Text(plan.machine.name, style="bold"))
    console.print(Text(title, style="bold"))
    if not plan.steps:
        return
    totals = plan.totals
    hanging(
        f"{duration(totals.seconds)}; {plural(totals.tool_changes, 'tool change')}, "
        f"{plural(totals.reach_arounds, 'reach-around')}; {plural(len(plan.steps), 'step')} "
        f"in {plural(len(plan.stations), 'station')}.",
        console,
        indent=0,
    )
    hanging(worth(plan), console, indent=0)


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
    return (
        f"Best found, not proven: at least {duration(plan.bound_seconds)} are needed, "
        f"so at most {float(plan.gap):.1%} could still be saved."
    )


def _compared(plan: Teardown, console: Console) -> None:
    other = plan.top_to_bottom
    saved = other.seconds - plan.totals.seconds
    verdict = f"this order saves {duration(saved)}" if saved > 0 else "this order takes the same time or more"
    hanging(
        f"Taking the file from top to bottom: {duration(other.seconds)}, "
        f"{plural(other.tool_changes, 'tool change')}, "
        f"{plural(other.reach_arounds, 'reach-around')}; {verdict}.",
        console,
        indent=0,
    )


def _aims(plan: Plan) -> str:
    return listing(target_words(plan.machine, target) for target in plan.targets)


def target_words(machine: Machine, target: Target) -> str:
    """``Cylinder head off``, ``Motor loose``, ``Mount within reach``."""
    if target.state is None:
        words = part_words(machine, target.part)
        if target.joint is not None:
            words = joint_words(machine, target.part, target.joint)
        return f"{words} within reach"
    return f"{part_words(machine, target.part)} {target.state.word}"


def lead_in(plan: Plan, console: Console) -> None:
    """What to have ready before the first step."""
    machine = plan.machine
    tools = laid_out(machine, (operation.tool for operation in plan.operations))
    rows = {"Lay out": listing(tools) or "no tools"}
    fluids = [op.subject for op in plan.operations if op.kind in (Kind.DRAIN, Kind.FILL)]
    if fluids:
        verb = "Catch" if isinstance(plan, Teardown) else "Fill"
        rows[verb] = listing(_fluid_words(machine, name) for name in dict.fromkeys(fluids))
    if new := _renewal_words(plan):
        rows["Renew"] = new
    rows["First"] = notice()
    console.print()
    for word, text in rows.items():
        hanging(f"{word:<9}{text}", console, indent=0, hang=9)


def _fluid_words(machine: Machine, name: str) -> str:
    fluid = machine.fluids[name]
    volume = f" {fluid.volume_text}" if fluid.volume_text else ""
    return f"{name_of(name, fluid.label)}{volume}"


def _renewal_words(plan: Plan) -> str:
    items = []
    total = 0.0
    for _, renewal in renewals(plan):
        items.append(f"{renewal.count} × {renewal.item}" if renewal.count > 1 else renewal.item)
        total += float(renewal.price or 0) * renewal.count
    priced = f" (priced in the file: {total:.2f})" if total else ""
    return listing(items) + priced if items else ""


def print_station(
    plan: Plan,
    station: Station,
    at: Mapping[int, tuple[Caution, ...]],
    console: Console,
    notes: Mapping[int, str],
) -> None:
    """Where to stand and what to hold, then the numbered steps."""
    machine = plan.machine
    where = machine.positions[station.position].label
    head = Text(f"{where} · {tool_words(machine, station.tool)}", style="bold")
    head.append(f"   {duration(station.seconds)}", style="dim")
    console.print()
    console.print(head)
    for step in station.steps:
        print_step(plan, step, at.get(step.number, ()), console, notes.get(step.number, ""))


def print_step(plan: Plan, step: Step, warned: Iterable[Caution], console: Console, note: str) -> None:
    """One numbered line, its cautions above it, what it frees below it."""
    for caution in warned:
        hanging(f"{MARK} {caution.text}", console, "bold yellow", hang=2)
    line = Text(f"{step.number:>4}  ")
    line.append(sentence(plan.machine, step.operation))
    if details := step_details(plan, step):
        line.append(f"  ({details})", style="dim")
    console.print(line)
    if note:
        hanging(note, console, "dim", hang=2)


def step_details(plan: Plan, step: Step) -> str:
    """Count and size of the fasteners, the weight of what is carried, what it holds against."""
    operation = step.operation
    if operation.part is None:
        return ""
    part = plan.machine.parts[operation.part]
    if operation.joint is not None:
        joint = part.joints[operation.joint]
        held = operation.kind is Kind.CRACK and joint.crack
        return fastening(joint) + (
            f", while {listing(joint.crack.while_parts)} holds it" if held and joint.crack else ""
        )
    return f"{part.weight_kg:g} kg" if part.weight_kg else ""


def hanging(text: str, console: Console, style: str = "", indent: int = INDENT, hang: int = 0) -> None:
    """Print wrapped text, indented; the lines after the first by ``hang`` more. No blanks at line ends."""
    lines = textwrap.wrap(text, max(20, console.width - indent - hang), break_on_hyphens=False)
    for number, line in enumerate(lines):
        console.print(Text(" " * (indent + (hang if number else 0)) + line, style=style))
