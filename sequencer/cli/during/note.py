"""``sequencer note``: keep a word, or a photo."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell


@grouped
def note(
    text: Annotated[str, argument("[TEXT]", "The note.")] = "",
    step: Annotated[str | None, option("--step", "STEP", "The step it is about. Left out: the job.")] = None,
    photo: Annotated[
        Path | None, option("--photo", "FILE", "A photo to keep: made small, without place or time in it.")
    ] = None,
    *,
    acting: Acting,
) -> None:
    """Add a note or a photo to a step or to the job. `next` shows a step's notes under it.

    Example: sequencer note 'long bolt goes at the bottom' --step 13
    """
    from sequencer.errors import SequencerError

    content = None
    if photo is not None:
        try:
            content = photo.read_bytes()
        except OSError as fault:
            raise SequencerError(f"{photo} can't be read: {fault.strerror}", "check the path") from fault
    with acting.desk() as opened:
        said = opened.note(text, step) if content is None else opened.photo(step, content, text)
        tell(said, opened, as_json=acting.as_json)
