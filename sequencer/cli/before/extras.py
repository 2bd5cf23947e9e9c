"""``sequencer extras``: what else to do while the job is open."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.options import AsJson, MachineFile, TimeLimit, Wanted, read_job

BothWays = Annotated[
    bool,
    typer.Option("--both-ways", help="Count the way back too. Takes minutes on a large machine."),
]


@grouped
def extras(
    machine: MachineFile,
    wanted: Wanted,
    both_ways: BothWays = False,
    time_limit: TimeLimit = None,
    as_json: AsJson = False,
) -> None:
    """Show what other parts would add now, or cost another day.

    Example: sequencer extras models/delivery-van.yaml --off head
    """
    from sequencer.cli.shared.counting import counted, workers
    from sequencer.cli.shared.output import console, print_json
    from sequencer.cli.shared.solving import live_line
    from sequencer.plan import extras as plan
    from sequencer.plan.order.patience import limits

    read, targets = read_job(machine, wanted)
    with live_line() as watch, counted("priced") as told:
        found = plan.extras(
            read,
            targets,
            limits(time_limit, 0.0),
            watch,
            both_ways=both_ways,
            workers=workers(),
            told=told,
        )
    if as_json:
        from sequencer.render.data.plans.extras import extras_json

        print_json(extras_json(found))
        return
    from sequencer.document.plans.extras import extras_document
    from sequencer.render.terminal import show

    show(extras_document(found), console())
