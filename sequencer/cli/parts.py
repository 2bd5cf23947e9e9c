"""``sequencer parts``: the shopping list."""

from __future__ import annotations

from sequencer.cli.jobs import (
    ListFile,
    ListFormat,
    MachineOrJob,
    NoRefit,
    Paper,
    SessionLength,
    Sessions,
    Wish,
    job_of,
    show_listing,
)
from sequencer.cli.options import GapLimit, Off, PreferOption, Reach, TimeLimit
from sequencer.cli.toolbox import ToolboxFile


def parts(
    machine: MachineOrJob = None,
    off: Off = [],  # noqa: B006 - typer copies it
    reach: Reach = [],  # noqa: B006
    output: ListFile = None,
    form: ListFormat = None,
    paper: Paper = "a4",
    prefer: PreferOption = "time",
    toolbox: ToolboxFile = None,
    sessions: Sessions = None,
    session_length: SessionLength = None,
    no_refit: NoRefit = False,
    time_limit: TimeLimit = None,
    gap: GapLimit = 0.0,
) -> None:
    """List what to buy: what is fitted new, fluids, sealants; how many, for how much, by when.

    Example: sequencer parts models/delivery-van.yaml --off head
    """
    from sequencer.document.lists.parts import parts_list

    cuts = (sessions, session_length)
    job = job_of(Wish(machine, off, reach, prefer, toolbox, None, *cuts, no_refit, time_limit, gap))
    show_listing(job, parts_list(job), output, form, paper)
