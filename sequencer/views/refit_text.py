"""The reassembly on the terminal: stations as on the way in, gates standing out, and what closes them off."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from sequencer.graph.operations import Kind
from sequencer.machine.model import Joint
from sequencer.plan.cautions import cautions
from sequencer.plan.plan import Gate, Hold, Refit, Step
from sequencer.plan.tightening import computed_ranges
from sequencer.views.lines import hanging
from sequencer.views.notes import notes
from sequencer.views.text import (
    INDENT,
    USUAL,
    aims_of,
    lead_in,
    print_head,
    print_notes,
    print_station,
    print_step,
)
from sequencer.views.toolbox_text import wrench_words
from sequencer.views.torques import computed_words, torque_words
from sequencer.views.words import duration, joint_words, listing, name_of, part_words, plural

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment

GATE = "GATE  "
"""Stands before a torque, so that no gate is passed over."""


def print_refit(plan: Refit, console: Console, unit: str | None = None, kit: Equipment | None = None) -> None:
    """Print the whole way back; torques also in ``unit``, and with the wrenches of ``kit``, where given."""
    print_head(plan, f"{aims_of(plan)}: the way back", console)
    if not plan.steps:
        hanging(console, "Nothing came off, so nothing goes back.")
        return
    hanging(console, f"{plural(len(plan.gates), 'torque gate')} on the way.")
    lead_in(plan, console, kit)
    for label, wait in dict.fromkeys((hold.label, _wait(hold)) for hold in plan.holds):
        hanging(console, f"{label}: {wait}; that is not in the time above", lead="Cure     ")
    for fluid, reason in plan.unreachable_fills:
        name = name_of(fluid, plan.machine.fluids[fluid].label)
        hanging(
            console, f"{name}: where it is filled can't be reached in this order: {reason}", lead="Filler   "
        )
    warned, noted, computed = cautions(plan.machine, plan.steps), notes(plan), computed_ranges(plan)
    gates = {gate.step: gate for gate in plan.gates}
    torqued = {gate.joint: gate.step for gate in plan.gates}
    for station in plan.stations:
        print_station(plan, station, console)
        for step in station.steps:
            print_step(plan, step, warned.get(step.number, ()), console)
            for line in (*_beside(plan, step, torqued), *_sealing(plan, step)):
                hanging(console, line, lead=INDENT)
            if step.number in computed:
                hanging(
                    console, computed_words(joint_of(plan, step), computed[step.number], unit), lead=INDENT
                )
            print_notes(noted.get(step.number, ()), console)
            if step.number in gates:
                _print_gate(plan, gates[step.number], console, unit, kit)
            _print_closed(plan, step, console)
    console.print()
    hanging(console, "Done: all that came off is back.", style="bold")


def _beside(plan: Refit, step: Step, torqued: Mapping[str, int]) -> Iterator[str]:
    """What belongs to a step besides its words: new parts to fit, and that the torque comes later."""
    operation = step.operation
    if operation.kind in (Kind.FIT, Kind.MOVE_BACK) and operation.part:
        items = plan.machine.parts[operation.part].renew
        if items:
            new = (f"{item.count} × {item.item}" if item.count > 1 else item.item for item in items)
            yield f"new: {listing(new)}"
    if operation.kind in (Kind.FASTEN, Kind.TIGHTEN) and operation.subject in torqued:
        yield f"only snug: its torque is step {torqued[operation.subject]}"


def _sealing(plan: Refit, step: Step) -> Iterator[str]:
    """How long there is after a sealant went on, and from where on it cures."""
    for hold in plan.holds:
        if step.operation.kind is Kind.SEAL and step.operation.subject == hold.sealed:
            yield f"{hold.label}: go straight on to step {hold.after_step}"
        if step.number == hold.after_step:
            yield f"{hold.label} cures from here: {_wait(hold)}"


def _wait(hold: Hold) -> str:
    mark = USUAL if hold.source == "default" else ""
    end = f"before step {hold.before_step}" if hold.before_step else "before the machine runs"
    return f"{mark}{duration(hold.seconds)} {end}"


def joint_of(plan: Refit, step: Step) -> Joint:
    """The joint that a step is about; it must be about one."""
    assert step.operation.part is not None
    assert step.operation.joint is not None
    return plan.machine.joint(step.operation.part, step.operation.joint)


def _print_gate(plan: Refit, gate: Gate, console: Console, unit: str | None, kit: Equipment | None) -> None:
    part, _, name = gate.joint.partition("/")
    lines = torque_words(plan.machine.joint(part, name), unit)
    if kit is not None and (wrench := wrench_words(kit.wrenches[gate.joint], plan.machine)):
        lines.append(wrench)
    if gate.waits_for:
        back = listing(part_words(plan.machine, other) for other in gate.waits_for)
        lines.append(f"only now, with {back} back in place")
    lines.append(
        f"step {gate.last_step} closes it off" if gate.last_step else "stays within reach to the end"
    )
    hanging(console, lines[0], lead=INDENT + GATE, style="bold")
    for line in lines[1:]:
        hanging(console, line, lead=INDENT + " " * len(GATE))


def _print_closed(plan: Refit, step: Step, console: Console) -> None:
    closed = plan.closing_off(step.number)
    if closed:
        names = listing(joint_words(plan.machine, *gate.joint.split("/", 1)) for gate in closed)
        hanging(console, f"after this you can no longer reach: {names}", lead=f"{INDENT}── ", style="bold")
