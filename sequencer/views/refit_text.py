"""The reassembly on the terminal: stations as on the way in, gates standing out, and what closes them off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from sequencer.graph.operations import Kind
from sequencer.plan.cautions import cautions
from sequencer.plan.plan import Gate, Refit, Step
from sequencer.views.text import INDENT, hanging, lead_in, print_head, print_step, target_words
from sequencer.views.torques import torque_words
from sequencer.views.words import duration, joint_words, listing, part_words, plural, tool_words

if TYPE_CHECKING:
    from rich.console import Console


def print_refit(plan: Refit, console: Console, unit: str | None = None) -> None:
    """Print the whole way back; torques also in ``unit`` where one is given."""
    aims = listing(target_words(plan.machine, target) for target in plan.targets)
    print_head(plan, f"{aims}: the way back", console)
    if not plan.steps:
        console.print("Nothing came off, so nothing goes back.")
        return
    console.print(f"{plural(len(plan.gates), 'torque gate')} on the way.", highlight=False)
    lead_in(plan, console)
    for fluid in plan.unreachable_fills:
        console.print(f"The filler of {fluid} is behind something that this job leaves on: see the file.")
    at = cautions(plan.machine, plan.steps)
    gates = {gate.step: gate for gate in plan.gates}
    for station in plan.stations:
        where = plan.machine.positions[station.position].label
        head = Text(f"{where} · {tool_words(plan.machine, station.tool)}", style="bold")
        head.append(f"   {duration(station.seconds)}", style="dim")
        console.print()
        console.print(head)
        for step in station.steps:
            print_step(plan, step, at.get(step.number, ()), console, _note(plan, step))
            if step.number in gates:
                _print_gate(plan, gates[step.number], console, unit)
            _print_closed(plan, step, console)
    console.print()
    console.print("Done: all that came off is back.", style="bold", highlight=False)


def _note(plan: Refit, step: Step) -> str:
    """New parts to fit."""
    operation = step.operation
    if operation.kind in (Kind.FIT, Kind.MOVE_BACK) and operation.part:
        items = plan.machine.parts[operation.part].renew
        if items:
            return "fit new: " + listing(
                f"{item.count} × {item.item}" if item.count > 1 else item.item for item in items
            )
    return ""


def _print_gate(plan: Refit, gate: Gate, console: Console, unit: str | None) -> None:
    part, _, name = gate.joint.partition("/")
    joint = plan.machine.joint(part, name)
    assert joint.torque is not None
    lines = torque_words(joint, unit)
    if gate.waits_for:
        back = listing(part_words(plan.machine, other) for other in gate.waits_for)
        lines.append(f"only now, with {back} back in place")
    lines.append(
        f"reach it before step {gate.last_step}" if gate.last_step else "stays within reach to the end"
    )
    for number, line in enumerate(lines):
        mark = "GATE  " if number == 0 else ""
        hanging(mark + line, console, "" if number else "bold", INDENT if not number else INDENT + 6, 6)


def _print_closed(plan: Refit, step: Step, console: Console) -> None:
    closed = plan.closing_off(step.number)
    if closed:
        names = listing(joint_words(plan.machine, *gate.joint.split("/", 1)) for gate in closed)
        hanging(f"── after this you can no longer reach: {names}", console, "bold", hang=3)
