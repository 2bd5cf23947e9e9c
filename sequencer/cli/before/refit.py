"""``sequencer refit``: the way back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.options import AsJson, MachineFile, Search, Wanted, read_job
from sequencer.cli.shared.pacing import PaceFile, at_own_pace
from sequencer.cli.shared.shapes import AgainstShapes, check_shapes, played, played_out
from sequencer.cli.shared.sittings import Cut, divided
from sequencer.cli.shared.toolbox import ToolboxFile, held_against, read_toolbox_file

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.plan import Refit

TorqueUnit = Annotated[
    str | None,
    option("--torque-unit", "UNIT", "Also show torques in this unit: N.m, lbf.ft, lbf.in, kgf.m, kgf.cm."),
]

Gates = Annotated[
    bool,
    typer.Option(
        "--gates", help="Only the torque gates in closing order, and what forgetting each would cost."
    ),
]


@grouped
def refit(
    machine: MachineFile,
    wanted: Wanted,
    search: Search,
    torque_unit: TorqueUnit = None,
    gates: Gates = False,
    toolbox: ToolboxFile = None,
    pace: PaceFile = None,
    against_shapes: AgainstShapes = False,
    *,
    cut: Cut,
    as_json: AsJson = False,
) -> None:
    """Plan the way back, each torque before it is closed off.

    Example: sequencer refit models/delivery-van.yaml --off head --torque-unit lbf.ft
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.cli.shared.solving import live_line
    from sequencer.plan.refit import plan_refit
    from sequencer.plan.teardown import plan_teardown
    from sequencer.quantities import parse_torque_unit

    check_shapes(against_shapes, "--gates" if gates else None)
    unit = parse_torque_unit(torque_unit) if torque_unit else None
    wish = cut.wish()
    read, targets = read_job(machine, wanted)
    read = at_own_pace(read, pace)
    box = read_toolbox_file(toolbox)
    with live_line() as watch:
        asked = search.asked(watch)
        way_in = plan_teardown(read, targets, *asked, only_to_undo=True)
        found = plan_refit(way_in, *asked)
    found, evenings = divided(found, wish)
    kit = held_against(found, box)
    if gates:
        _gates(found, unit, kit, as_json=as_json)
        return
    if as_json:
        from sequencer.render.data.plans.plan import refit_json

        print_json(refit_json(found, unit, kit, played(found, asked=against_shapes), evenings))
        return
    from sequencer.document.plans.plan import refit_document
    from sequencer.render.terminal import show

    show(refit_document(found, unit, kit, evenings), console())
    show(played_out(found, asked=against_shapes), console())


def _gates(found: Refit, unit: str | None, kit: Equipment | None, *, as_json: bool) -> None:
    """The gates alone; each is a question to the engine of its own, so they are told one by one."""
    from sequencer.cli.shared.output import console, print_json
    from sequencer.plan.onward.missed import missed_gates
    from sequencer.plan.order.patience import SMALL_STATES, limits

    priced = missed_gates(found, limits(states=SMALL_STATES))
    if as_json:
        from sequencer.render.data.plans.gates import gates_json

        print_json(gates_json(found, priced, unit, kit))
    else:
        from sequencer.document.plans.gates import gates_document
        from sequencer.render.terminal import show

        show(gates_document(found, priced, unit, kit), console())
