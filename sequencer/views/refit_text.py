"""The reassembly on the terminal: stations as on the way in, gates standing out, and what closes them off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sequencer.plan.plan import Refit
from sequencer.views.cards import refit_cards, wait_words
from sequencer.views.lines import hanging
from sequencer.views.text import (
    aims_of,
    lead_in,
    print_head,
    print_station,
)
from sequencer.views.words import name_of, plural

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.toolbox import Equipment


def print_refit(plan: Refit, console: Console, unit: str | None = None, kit: Equipment | None = None) -> None:
    """Print the whole way back; torques also in ``unit``, and with the wrenches of ``kit``, where given."""
    print_head(plan, f"{aims_of(plan)}: the way back", console)
    if not plan.steps:
        hanging(console, "Nothing came off, so nothing goes back.")
        return
    hanging(console, f"{plural(len(plan.gates), 'torque gate')} on the way.")
    lead_in(plan, console, kit)
    for label, wait in dict.fromkeys((hold.label, wait_words(hold)) for hold in plan.holds):
        hanging(console, f"{label}: {wait}; that is not in the time above", lead="Cure     ")
    for fluid, reason in plan.unreachable_fills:
        name = name_of(fluid, plan.machine.fluids[fluid].label)
        hanging(
            console, f"{name}: where it is filled can't be reached in this order: {reason}", lead="Filler   "
        )
    for station in refit_cards(plan, unit, kit):
        print_station(station, console)
    console.print()
    hanging(console, "Done: all that came off is back.", style="bold")
