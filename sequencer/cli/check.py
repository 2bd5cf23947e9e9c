"""``sequencer check``: what is wrong with a machine file."""

from __future__ import annotations

import typer

from sequencer.cli.options import MachineFile, read_machine
from sequencer.cli.output import complain
from sequencer.views.words import plural


def check(machine: MachineFile) -> None:
    """Say all that is wrong with a machine file.

    Example: sequencer check models/delivery-van.yaml
    """
    found, faults = read_machine(machine)
    for fault in faults:
        complain(str(fault))
    if found is None:
        errors = sum(fault.severity == "error" for fault in faults)
        complain(f"{machine}: {errors} {'fault' if errors == 1 else 'faults'}")
        raise typer.Exit(2)
    joints = sum(len(part.joints) for part in found.parts.values())
    typer.echo(
        f"{machine}: good: {found.name}, {plural(len(found.parts), 'part')}, {plural(joints, 'joint')}, "
        f"{plural(len(found.positions), 'position')}, {plural(len(found.tools), 'tool')}"
    )
