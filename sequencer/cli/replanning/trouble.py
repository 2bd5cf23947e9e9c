"""``sequencer trouble``: a joint that does not come undone as it should."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.replanning.found import Reshuffle, seconds_of, tell_change
from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting
from sequencer.cli.shared.toolbox import today

_Joint = Annotated[str, argument("PART/JOINT", "The joint.")]
_State = Annotated[
    str, argument("STATE", "What is wrong: seized, rounded, broken, stripped, cross-threaded, stuck.")
]
_Way = Annotated[
    str | None, option("--way", "NAME", "Take this way out. Left out: the gentlest not yet tried.")
]
_Count = Annotated[int, typer.Option("--count", metavar="COUNT", min=1, help="How many of its fasteners.")]
_Ways = Annotated[bool, typer.Option("--ways", help="Only show the usual ways out, and write nothing.")]


@grouped
def trouble(
    joint: _Joint,
    state: _State,
    way: _Way = None,
    count: _Count = 1,
    ways: _Ways = False,
    reshuffle: Reshuffle = None,
    *,
    acting: Acting,
) -> None:
    """Plan a way out of a seized, rounded or broken fastener.

    The next usual way goes into the plan, with its caution.

    Example: sequencer trouble alternator/lower seized
    """
    with acting.desk() as opened:
        if ways:
            from sequencer.cli.shared.output import console, print_json
            from sequencer.document.jobs.trouble import ways_document
            from sequencer.job.changes.troubled import joint_named
            from sequencer.plan.hazards.trouble import ways_out
            from sequencer.render.data.jobs.trouble import ways_json
            from sequencer.render.terminal import show

            machine = opened.machine
            found = ways_out(machine, joint_named(machine, joint), state, count)
            if acting.as_json:
                print_json(ways_json(found))
            else:
                show(ways_document(found), console())
            return
        said = opened.trouble(joint, state, today(), way=way, count=count, reshuffle=seconds_of(reshuffle))
        tell_change(said, opened, as_json=acting.as_json)
