"""``sequencer draw``: the dependency diagram."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.options import MachineFile, Off, Reach, load_machine

if TYPE_CHECKING:
    from sequencer.machine.model import Machine
    from sequencer.plan.plan import Teardown

Output = Annotated[
    Path,
    typer.Option(
        "-o", "--output", metavar="FILE", help="The picture: .svg, .png or .dot.", show_default=False
    ),
]
Why = Annotated[
    str | None,
    typer.Option(
        "--why",
        metavar="PART",
        help="Draw only the chain that explains why this part has to move.",
        show_default=False,
    ),
]


def draw(
    machine: MachineFile,
    output: Output,
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    why: Why = None,
) -> None:
    """Draw what is in the way of what, for a helper.

    Example: sequencer draw models/delivery-van.yaml --off head -o plan.svg
    """
    from sequencer.cli.output import write_atomically
    from sequencer.errors import SequencerError
    from sequencer.graph.targets import parse_targets
    from sequencer.views.diagram import diagram
    from sequencer.views.render import FORMATS, render

    form = output.suffix.lstrip(".").lower()
    if form not in FORMATS:
        raise SequencerError(
            f"{output}: can't tell the kind of picture from its name",
            f"end the name in {', '.join('.' + known for known in FORMATS)}",
        )
    read = load_machine(machine)
    if not off and not reach:
        if why:
            raise SequencerError("--why asks about a job", "add --off PART")
        write_atomically(output, render(diagram(read), form))
        return
    from sequencer.plan.teardown import plan_teardown

    found = plan_teardown(read, parse_targets(read, off, reach))
    only = _chain(read, found, why) if why else None
    write_atomically(output, render(diagram(read, found, only), form))


def _chain(machine: Machine, plan: Teardown, part: str) -> set[str]:
    """The parts in the chain from a target to ``part``; the chain itself is printed as sentences."""
    from sequencer.errors import SequencerError
    from sequencer.graph.chain import why
    from sequencer.graph.targets import goals, parse_targets

    (asked,) = parse_targets(machine, [part])
    order = [operation.name for operation in plan.operations]
    touched = {operation.part for operation in plan.operations}
    if asked.part not in touched:
        raise SequencerError(
            f"--why {part}: this job leaves {asked.part} alone", "ask about a part that moves"
        )
    links = why(plan.graph, goals(plan.graph, plan.targets), order, asked.part)
    for link in links:
        typer.echo(f"{link.later!r} waits for {link.earlier!r}: {link.reason}")
    named = {
        op.part
        for link in links
        for name in (link.later, link.earlier)
        if (op := plan.graph.operations[name])
    }
    return {name for name in named if name} | {asked.part}
