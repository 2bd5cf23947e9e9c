"""``sequencer turn``: from taking apart to putting together."""

from __future__ import annotations

from typing import Annotated

import typer

from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell


@grouped
def turn(
    apart: Annotated[
        bool,
        typer.Option(
            "--apart", help="The other way round: take apart again in the middle of the reassembly."
        ),
    ] = False,
    *,
    acting: Acting,
) -> None:
    """Start the reassembly, planned from what really came apart.

    Example: sequencer turn
    """
    with acting.desk() as opened:
        tell(opened.turn(apart=apart), opened, as_json=acting.as_json, then_next=True)
