"""``sequencer resume``: start the clock, or go on after a stop."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime

from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell
from sequencer.errors import SequencerError


@grouped
def resume(acting: Acting) -> None:
    """Start the clock, and show what comes next.

    After a long break, it first says how things were left and what to check.

    Example: sequencer resume
    """
    with acting.desk() as opened:
        if not acting.as_json:
            from sequencer.cli.shared.output import console
            from sequencer.document.evenings.resumed import resumed_document
            from sequencer.render.terminal import show

            with suppress(SequencerError):  # without a file that serves the clock starts all the same
                show(list(resumed_document(opened.moment(), datetime.now(UTC))), console())
        tell(opened.resume(), opened, as_json=acting.as_json, then_next=True)
