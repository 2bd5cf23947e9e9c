"""``sequencer stop``: stop the clock, and say how the machine is left."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell

if TYPE_CHECKING:
    from sequencer.job.desk import Desk
    from sequencer.job.evenings.way_out import WayOut


_Why = Annotated[str, argument("[WHY]", "Why, if that is worth knowing.")]
_MadeSafe = Annotated[
    Literal["back", "on"] | None,
    option("--made-safe", "back|on", "You put back what `stop` offered, or carried on to the step it named."),
]


@grouped
def stop(why: _Why = "", made_safe: _MadeSafe = None, *, acting: Acting) -> None:
    """Stop the clock, and check whether the machine may be left.

    If not, it offers the quickest way to make it safe. You may stop anyway.

    Example: sequencer stop 'waiting for the seal'
    """
    from sequencer.cli.shared.output import console
    from sequencer.job.evenings.stopping import MadeSafe
    from sequencer.job.evenings.way_out import ways_out

    with acting.desk() as opened:
        moment = opened.moment()
        ways = ways_out(moment, opened.by.person, datetime.now(UTC)) if made_safe is None else ()
        seen: tuple[str, ...] = ()
        asked = bool(ways) and sys.stdin.isatty() and not acting.as_json
        if asked:
            made_safe, seen = _asked(opened, ways)
        said = opened.stop(why, MadeSafe(made_safe) if made_safe else None, seen)
        if acting.as_json:
            from sequencer.cli.shared.output import print_json
            from sequencer.render.data.jobs.job import stop_json

            print_json(stop_json(said, ways))
            return
        tell(said, opened, as_json=False)
        from sequencer.document.evenings.leaving import leaving_document, ways_out_document
        from sequencer.job.reports.status import leaving
        from sequencer.render.terminal import show

        show(leaving_document(leaving(opened.moment(), opened.by.person), opened.machine), console())
        if ways and not asked:
            show(ways_out_document(moment, ways), console())


def _asked(opened: Desk, ways: tuple[WayOut, ...]) -> tuple[Literal["back", "on"] | None, tuple[str, ...]]:
    """Offer the ways, the quickest first; one answer takes one, none leaves the machine as it is."""
    from sequencer.cli.shared.output import console
    from sequencer.document.evenings.leaving import leaving_document, ways_out_document
    from sequencer.job.reports.status import leaving
    from sequencer.render.terminal import show

    moment, out = opened.moment(), console()
    show(leaving_document(leaving(moment, opened.by.person), moment.machine), out)
    show(ways_out_document(moment, ways, numbered=True), out)
    can = [number for number, way in enumerate(ways, start=1) if way.single]
    if not can:
        return None, ()
    words = " or ".join(map(str, can))
    question = f"{words} once that is done; Enter leaves it as it is"
    said = str(typer.prompt(question, default="", show_default=False)).strip()
    number = int(said) if said.isdecimal() else 0
    if number not in can:
        return None, ()
    way = ways[number - 1]
    return ("on" if way.onward else "back"), way.ops
