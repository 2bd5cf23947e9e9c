"""``sequencer parts``: the shopping list."""

from __future__ import annotations

from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.jobs import JobChoice, ListTo, NoRefit, job_of, show_listing
from sequencer.cli.shared.sittings import Cut
from sequencer.cli.shared.toolbox import ToolboxFile


@grouped
def parts(
    wish: JobChoice, to: ListTo, cut: Cut, toolbox: ToolboxFile = None, no_refit: NoRefit = False
) -> None:
    """List what to buy: new parts, fluids, sealants.

    With quantity, price, and the step that needs it.

    Example: sequencer parts models/delivery-van.yaml --off head
    """
    from sequencer.document.lists.parts import parts_list

    job = job_of(wish, cut, toolbox=toolbox, no_refit=no_refit)
    show_listing(job, parts_list(job), to)
