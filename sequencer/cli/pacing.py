"""A person's own pace, for the commands that plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.output import complain

if TYPE_CHECKING:
    from sequencer.machine.model import Machine

PaceFile = Annotated[
    Path | None,
    typer.Option(
        "--pace",
        metavar="FILE",
        envvar="SEQUENCER_PACE",
        help="Your pace file, written by learn: plan with your own times.",
        show_default=False,
        show_envvar=False,
    ),
]


def at_own_pace(machine: Machine, path: Path | None) -> Machine:
    """The machine with its times at the pace of a file, which is said on the error stream.

    Raises:
        SequencerError: The file can't be read, or is no pace file.
    """
    if path is None:
        return machine
    from sequencer.job.pace import at_pace, read_pace

    pace = read_pace(path)
    kinds = ", ".join(f"{kind} {float(own.factor):g} ×" for kind, own in sorted(pace.items()))
    complain(f"times at the pace of {path}: {kinds or 'nothing learned yet'}")
    return at_pace(machine, pace)
