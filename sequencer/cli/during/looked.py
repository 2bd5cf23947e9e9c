"""``sequencer looked``: keep a look at a part, and what it showed."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell


@grouped
def looked(
    part: Annotated[str, argument("PART", "The part.")],
    with_: Annotated[
        str, typer.Option("--with", metavar="WAY", help="How: eye, mirror, borescope, hand (by feel).")
    ] = "eye",
    showed: Annotated[str | None, option("--showed", "TEXT", "What it showed. Left out: nothing.")] = None,
    *,
    acting: Acting,
) -> None:
    """Record that you looked at a part, and what you saw.

    From this, and from what looks missed, `plan --look-first` learns what a look is worth.

    Example: sequencer looked motor --with mirror --showed "a stay to the frame"
    """
    with acting.desk() as opened:
        tell(opened.looked(part, with_, showed), opened, as_json=acting.as_json)
