"""``sequencer check``: what is wrong with a machine file."""

from __future__ import annotations

import typer

from sequencer.cli.options import MachineFile


def check(machine: MachineFile) -> None:
    """Read a machine file and report every fault in it, each with its line and what to do.

    Example: sequencer check models/delivery-van.yaml
    """
    from sequencer.machine import read
    from sequencer.machine.library import find

    reading = read(find(machine))
    for fault in reading.faults:
        typer.echo(str(fault), err=fault.severity == "error")
    if reading.machine is None:
        errors = sum(fault.severity == "error" for fault in reading.faults)
        typer.echo(f"{machine}: {errors} {'fault' if errors == 1 else 'faults'}", err=True)
        raise typer.Exit(2)
    found = reading.machine
    joints = sum(len(part.joints) for part in found.parts.values())
    typer.echo(
        f"{machine}: good: {found.name}, {len(found.parts)} parts, {joints} joints, "
        f"{len(found.positions)} positions, {len(found.tools)} tools"
    )
