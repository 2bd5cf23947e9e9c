"""``sequencer undo``: take back what was said."""

from __future__ import annotations

from typing import Annotated

from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell


@grouped
def undo(
    which: Annotated[
        str | None,
        argument(
            "[STEP|ID]", "A step's number, or an id's first characters. Left out: this device's last act."
        ),
    ] = None,
    *,
    acting: Acting,
) -> None:
    """Undo this device's last entry, a step's tick, or any by its id.

    Example: sequencer undo
    """
    with acting.desk() as opened:
        tell(opened.undo(which), opened, as_json=acting.as_json, then_next=True)
