"""``sequencer plan``: the way in."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.options import AsJson, GapLimit, MachineFile, Off, Reach, TimeLimit, read_job
from sequencer.plan.prefer import Prefer

PreferOption = Annotated[Prefer, typer.Option("--prefer", help="What to have least of; time comes second.")]


def plan(
    machine: MachineFile,
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    prefer: PreferOption = Prefer.TIME,
    time_limit: TimeLimit = None,
    gap: GapLimit = 0.0,
    as_json: AsJson = False,
) -> None:
    """Plan how to take a part off, in the quickest order.

    Example: sequencer plan models/delivery-van.yaml --off head
    """
    from sequencer.cli.output import console, print_json
    from sequencer.cli.solving import limits, live_line
    from sequencer.plan.teardown import plan_teardown

    read, targets = read_job(machine, off, reach)
    with live_line() as watch:
        found = plan_teardown(read, targets, prefer, limits(time_limit, gap), watch)
    if as_json:
        from sequencer.views.as_json import teardown_json

        print_json(teardown_json(found))
        return
    from sequencer.views.text import print_teardown

    print_teardown(found, console())
