"""``sequencer compare``: what two machine files have differently."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.options import AsJson, MachineFile, load_machine

Other = Annotated[Path, argument("OTHER", "The file to compare it with: your own, say.")]
DIFFERENT = 1
"""The exit code where anything differs, as that of ``diff``."""


def compare(machine: MachineFile, other: Other, as_json: AsJson = False) -> None:
    """Show how two machine files differ.

    Exit code 0 if both describe the same machine, 1 if not, 2 on an error.

    Example: sequencer compare models/delivery-van.yaml mine.yaml
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.comparing.differences import differences

    here, there = load_machine(machine), load_machine(other)
    found = differences(here, there)
    if as_json:
        from sequencer.render.data.machines.comparing import compared_json

        print_json(compared_json(here, there, found))
    else:
        from sequencer.document.comparing.difference_words import compared_document
        from sequencer.render.terminal import show

        show(compared_document(here, there, found), console())
    if found:
        raise typer.Exit(DIFFERENT)
