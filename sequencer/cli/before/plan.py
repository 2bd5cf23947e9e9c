"""``sequencer plan``: the way in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.before.crew import DrawChart, Handles, People, check_options, share_out, show
from sequencer.cli.before.looks import Looked, LookFirst, check_look_first, show_look_first
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.options import AsJson, MachineFile, Search, Wanted, read_job
from sequencer.cli.shared.pacing import PaceFile, at_own_pace
from sequencer.cli.shared.shapes import AgainstShapes, check_shapes, played, played_out
from sequencer.cli.shared.sittings import Cut, divided
from sequencer.cli.shared.toolbox import ToolboxFile, held_against, read_toolbox_file

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.evenings.sittings import Evenings
    from sequencer.plan.plan import Teardown

Why = Annotated[bool, typer.Option("--why", help="Say of each part that moves what it is in the way of.")]


@grouped
def plan(
    machine: MachineFile,
    wanted: Wanted,
    search: Search,
    toolbox: ToolboxFile = None,
    pace: PaceFile = None,
    *,
    cut: Cut,
    people: People = 1,
    handles: Handles = None,
    draw: DrawChart = None,
    look_first: LookFirst = False,
    looked: Looked = [],  # noqa: B006
    why: Why = False,
    against_shapes: AgainstShapes = False,
    as_json: AsJson = False,
) -> None:
    """Plan the quickest way to take a part off.

    Example: sequencer plan models/delivery-van.yaml --off head
    """
    from sequencer.cli.shared.solving import live_line
    from sequencer.errors import SequencerError
    from sequencer.plan.teardown import plan_teardown

    check_options(people, handles, draw)
    check_look_first(look_first, people)
    other = "--people" if people > 1 else "--look-first" if look_first else None
    check_shapes(against_shapes, other)
    if why and (other or as_json):
        remedy = f"leave out --why, or {other or '--json'}"
        raise SequencerError("--why goes with one person's plan, as text", remedy)
    wish = cut.wish()
    if wish and other:
        raise SequencerError("sittings are for one person's plan", f"leave out --sitting, or {other}")
    read, targets = read_job(machine, wanted)
    read = at_own_pace(read, pace)
    box = read_toolbox_file(toolbox)
    with live_line() as watch:
        asked = search.asked(watch)
        found = plan_teardown(read, targets, *asked)
    found, evenings = divided(found, wish)
    kit = held_against(found, box)
    if people > 1:
        show(share_out(found, people, handles, search.time_limit, search.gap), kit, draw, as_json=as_json)
        return
    if look_first:
        show_look_first(found, kit, looked, as_json=as_json)
        return
    _print(found, evenings, kit, why=why, against_shapes=against_shapes, as_json=as_json)


def _print(
    found: Teardown,
    evenings: Evenings[Teardown] | None,
    kit: Equipment | None,
    *,
    why: bool,
    against_shapes: bool,
    as_json: bool,
) -> None:
    """The plan of one person, as text or as data."""
    from sequencer.cli.shared.output import console, print_json

    if as_json:
        from sequencer.render.data.plans.plan import teardown_json

        print_json(teardown_json(found, kit, played(found, asked=against_shapes), evenings))
        return
    from sequencer.document.plans.plan import teardown_document
    from sequencer.render.terminal import show as print_out

    print_out(teardown_document(found, kit, evenings, why=why), console())
    print_out(played_out(found, asked=against_shapes), console())
