"""``sequencer check``: what is wrong with a machine file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from sequencer.cli.options import MachineFile, read_machine
from sequencer.cli.output import complain
from sequencer.document.words import plural

if TYPE_CHECKING:
    from sequencer.machine.model import Machine


def _say_what_stays_shut(found: Machine, file: Path) -> None:
    """Warn of parts that can never come off; the circle itself is told when one of them is asked for."""
    from sequencer.graph.derive import derive
    from sequencer.graph.reach import never_off
    from sequencer.machine.faults import Fault

    shut = never_off(derive(found))
    if shut:
        first = found.parts[shut[0]]
        more = f" (nor can {len(shut) - 1} more)" if len(shut) > 1 else ""
        problem = f"`{first.name}` can never come off: what it waits for waits for it{more}"
        remedy = f"'sequencer plan {file} --off {first.name}' shows the circle"
        complain(str(Fault(first.place, problem, remedy, "warning")))


def check(machine: MachineFile) -> None:
    """Check a machine file.

    Example: sequencer check models/delivery-van.yaml
    """
    found, faults = read_machine(machine)
    for fault in faults:
        complain(str(fault))
    if found is None:
        errors = sum(fault.severity == "error" for fault in faults)
        complain(f"{machine}: {errors} {'fault' if errors == 1 else 'faults'}")
        raise typer.Exit(2)
    _say_what_stays_shut(found, machine)
    joints = sum(len(part.joints) for part in found.parts.values())
    typer.echo(
        f"{machine}: good: {found.name}, {plural(len(found.parts), 'part')}, {plural(joints, 'joint')}, "
        f"{plural(len(found.positions), 'position')}, {plural(len(found.tools), 'tool')}"
    )
