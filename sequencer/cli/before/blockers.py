"""``sequencer blockers``: what is in the way of a target, and what it would be worth to be rid of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import given, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.options import AsJson, MachineFile, TimeLimit, Wanted, read_job, target_given

if TYPE_CHECKING:
    from sequencer.plan.blockers import InTheWay

Why = Annotated[
    str | None,
    option("--why", "PART", "Explain only why this part has to move."),
]  # fmt: skip
Without = Annotated[
    list[str],
    option("--without", "PART", "The time if this part did not have to move. Repeat for more parts."),
]
PriceAll = Annotated[
    bool,
    typer.Option(
        "--price-all", help="The same for every part in the way: shows where a special tool would pay."
    ),
]


@grouped
def blockers(
    machine: MachineFile,
    wanted: Wanted,
    why: Why = None,
    without: Without = [],  # noqa: B006
    price_all: PriceAll = False,
    time_limit: TimeLimit = None,
    as_json: AsJson = False,
) -> None:
    """List what has to move for a part, surprises first, and why.

    Example: sequencer blockers models/delivery-van.yaml --off head
    """
    from sequencer.cli.shared.counting import counted, workers
    from sequencer.cli.shared.output import console, print_json
    from sequencer.cli.shared.solving import live_line
    from sequencer.plan.blockers import in_the_way
    from sequencer.plan.order.patience import limits

    read, targets = read_job(machine, wanted)
    asked = [target_given(read, part, "--without").part for part in without]
    explained = target_given(read, why, "--why").part if why else None
    with live_line() as watch, counted("priced") as told:
        found = in_the_way(
            read,
            targets,
            limits(time_limit, 0.0),
            watch,
            price=None if price_all else asked,
            workers=workers(),
            told=told,
            ways=as_json or not (asked or explained or price_all),
        )
    if as_json:
        from sequencer.render.data.plans.blockers import blockers_json

        print_json(blockers_json(found, explained))
        return
    from sequencer.document.plans.blockers import blockers_document, savings_document
    from sequencer.document.plans.blockers_one import without_document
    from sequencer.render.terminal import show

    if explained:
        _explain(found, explained)
    elif price_all:
        show(savings_document(found), console())
    elif asked:
        show(without_document(found), console())
    else:
        show(blockers_document(found), console())


def _explain(found: InTheWay, part: str) -> None:
    from sequencer.cli.shared.output import console
    from sequencer.document.plans.blockers_one import why_document
    from sequencer.plan.blockers import reasons
    from sequencer.render.terminal import show

    with given("--why", part):
        chain, bound = reasons(found, part)
    show(why_document(found, part, chain, bound), console())
