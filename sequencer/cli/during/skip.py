"""``sequencer skip``: leave steps out, for a reason."""

from __future__ import annotations

from typing import Annotated

from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, Steps, tell


@grouped
def skip(
    steps: Steps, why: Annotated[str, argument("WHY", "Why it is not needed.")], *, acting: Acting
) -> None:
    """Skip steps that this machine does not need. The reason stays in sight.

    Example: sequencer skip 4 'was dry already'
    """
    with acting.desk() as opened:
        tell(opened.skip(steps, why), opened, as_json=acting.as_json, then_next=True)
