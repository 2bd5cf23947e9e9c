"""``sequencer torque JOINT TORQUE SOURCE``: a figure for joints of the job."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from sequencer.cli.replanning.found import tell_change
from sequencer.cli.shared.job_options import desk

if TYPE_CHECKING:
    from sequencer.job.work.figure_words import Figure

JobOptions = tuple[Path | None, str | None, str | None]
"""The job, the person and the device."""

_SOURCES = "manual p. 12; from memory"


def tell_figure(
    words: Sequence[str],
    torque: str | None,
    options: JobOptions,
    when: Sequence[str] = (),
    *,
    as_json: bool,
) -> bool:
    """Give the joints that the words name their figure; False where they name none: that is for the bench."""
    from sequencer.errors import SequencerError
    from sequencer.job.work.figure_words import split_words, with_source
    from sequencer.job.work.figures import figure as figure_act

    names, figure = split_words([*words, *((torque,) if torque else ())])
    if not names or (figure is None and names[0][:1].isdigit()):
        return False
    if figure is None:
        raise SequencerError(
            f"{' '.join(words)!r} says no torque",
            'write it like this: torque "cover bolts" 10 N.m "manual p. 12"; or "by hand"',
        )
    with desk(*options) as opened:
        if not figure.source and figure.stages and sys.stdin.isatty():
            figure = replace(figure, source=_asked(figure))
        due = replace(with_source(figure), when=tuple(when))
        said = opened.write(figure_act(names, due, opened.file))
        tell_change(said, opened, as_json=as_json)
    return True


def _asked(figure: Figure) -> str:
    return str(
        typer.prompt(f"Where is {figure.text} from ({_SOURCES})", default="", show_default=False)
    ).strip()
