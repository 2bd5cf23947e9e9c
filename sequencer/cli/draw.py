"""``sequencer draw``: the dependency diagram."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.options import GapLimit, MachineFile, Off, PreferOption, Reach, TimeLimit, load_machine

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
    prefer: PreferOption = "time",
    time_limit: TimeLimit = None,
    gap: GapLimit = 0.0,
) -> None:
    """Draw what is in the way of what, for a helper.

    With --off the steps of the plan stand in the picture; without it the whole machine is drawn.

    Example: sequencer draw models/delivery-van.yaml --off head -o plan.svg
    """
    from sequencer.cli.output import write_atomically
    from sequencer.cli.solving import limits, live_line
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
    from sequencer.plan.prefer import Prefer
    from sequencer.plan.teardown import plan_teardown

    targets = parse_targets(read, off, reach)
    asked = _asked(read, why) if why else None
    with live_line() as watch:
        found = plan_teardown(read, targets, Prefer(prefer), limits(time_limit, gap), watch)
    only = _chain(found, asked) if asked else None
    write_atomically(output, render(diagram(read, found, only), form))


def _asked(machine: Machine, part: str) -> str:
    """The part that --why names."""
    from sequencer.errors import SequencerError
    from sequencer.graph.targets import parse_targets

    try:
        return parse_targets(machine, [], [part])[0].part
    except SequencerError as fault:
        raise SequencerError(fault.problem.replace("--reach", "--why", 1), fault.remedy) from None


def _chain(plan: Teardown, asked: str) -> set[str]:
    """The parts in the chain from a target to ``asked``; the chain itself is printed as sentences."""
    from sequencer.cli.output import console
    from sequencer.errors import SequencerError
    from sequencer.graph.chain import why
    from sequencer.graph.targets import goals
    from sequencer.views.lines import hanging
    from sequencer.views.words import part_words, sentence

    operations = {operation.name: operation for operation in plan.operations}
    label = part_words(plan.machine, asked)
    if all(operation.part != asked for operation in operations.values()):
        raise SequencerError(f"--why {asked}: this job leaves {label} alone", "ask about a part that moves")
    links = why(plan.graph, goals(plan.graph, plan.targets), list(operations), asked)
    out = console()
    if not links:
        hanging(out, f"{label} is what the job is for.")
    for link in links:
        later, earlier = (sentence(plan.machine, operations[name]) for name in (link.later, link.earlier))
        hanging(out, f"{later} waits for: {earlier}, since {link.reason}.", hang=2)
    ends = (operations[name].part for link in links for name in (link.later, link.earlier))
    return {part for part in ends if part} | {asked}
