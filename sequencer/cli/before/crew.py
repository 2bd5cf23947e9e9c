"""``--people``: a plan's steps shared out among several people."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import option

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.crew.crew import Schedule
    from sequencer.plan.plan import Teardown

MOST_PEOPLE = 9

WORK = 2.0
"""CP-SAT's deterministic time after which a schedule is good enough to print: some ten seconds.

A count of work, so that the same file gives the same schedule on any machine with the same OR-Tools. An
explicit ``--time-limit`` takes its place.
"""

People = Annotated[
    int,
    typer.Option(
        "--people", metavar="N", min=1, max=MOST_PEOPLE, help="Share the steps among this many people."
    ),
]
Handles = Annotated[
    int | None,
    option(
        "--handles",
        "N",
        "With --people: how many of each handle you have (ratchets, bit drivers). Default 1.",
        min=1,
    ),
]
DrawChart = Annotated[
    Path | None, option("--draw", "FILE.svg", "With --people: also write the bar chart to this file.")
]


def check_options(people: int, handles: int | None, draw: Path | None) -> None:
    """Refuse what means nothing for one person, before anything is planned.

    Raises:
        SequencerError: Which option, and what to do.
    """
    from sequencer.cli.shared.output import kind_of
    from sequencer.errors import SequencerError

    if people == 1 and (handles is not None or draw is not None):
        option = "--draw" if draw is not None else "--handles"
        raise SequencerError(f"{option} is for several people", f"say how many: --people 2 {option} …")
    if draw is not None:
        kind_of(draw, ("svg",), bare="svg")


def share_out(
    found: Teardown, people: int, handles: int | None, time_limit: float | None, gap: float
) -> Schedule:
    """The schedule within the options' limits, with a live line for a person who waits."""
    from sequencer.cli.shared.solving import live_line
    from sequencer.engine.crew import CrewLimits
    from sequencer.plan.crew.crew import plan_schedule

    limits = CrewLimits(work=WORK if time_limit is None else None, seconds=time_limit, gap=gap)
    with live_line() as watch:
        return plan_schedule(found, people, limits, watch, handles or 1)


def show(schedule: Schedule, kit: Equipment | None, draw: Path | None, *, as_json: bool) -> None:
    """Print a schedule, and write its chart where one is asked for."""
    from sequencer.cli.shared.output import console, print_json, write_output

    if draw is not None:
        from sequencer.render.pictures.crew import schedule_svg

        write_output(draw, schedule_svg(schedule).encode())
    if as_json:
        from sequencer.render.data.plans.crew import schedule_json

        print_json(schedule_json(schedule, kit))
        return
    from sequencer.document.plans.crew import schedule_document
    from sequencer.render.terminal import show

    out = console()
    show(schedule_document(schedule, kit, out.width), out)
