"""``sequencer tools``: the tool list."""

from __future__ import annotations

from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.jobs import JobChoice, ListTo, NoRefit, job_of, show_listing
from sequencer.cli.shared.sittings import Cut
from sequencer.cli.shared.toolbox import ToolboxFile


@grouped
def tools(
    wish: JobChoice, to: ListTo, cut: Cut, toolbox: ToolboxFile = None, no_refit: NoRefit = False
) -> None:
    """List the tools in order of use, missing ones first.

    Example: sequencer tools models/delivery-van.yaml --off head --toolbox examples/toolbox.yaml
    """
    from sequencer.document.lists.tools import tools_list

    job = job_of(wish, cut, toolbox=toolbox, no_refit=no_refit)
    show_listing(job, tools_list(job), to)
