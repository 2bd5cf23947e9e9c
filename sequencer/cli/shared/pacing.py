"""A person's own pace, for the commands that plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.output import complain

if TYPE_CHECKING:
    from sequencer.machine.model import Machine

PaceFile = Annotated[
    Path | None,
    option(
        "--pace",
        "FILE",
        "Your pace file, written by learn: your own times.",
        envvar="SEQUENCER_PACE",
        show_envvar=False,
    ),
]


def at_own_pace(machine: Machine, path: Path | None) -> Machine:
    """The machine with its times at the pace of a file, which is said on the error stream.

    Raises:
        SequencerError: The file can't be read, or is not a pace file.
    """
    if path is None:
        return machine
    from sequencer.document.hours import known_words
    from sequencer.job.learning.pace import at_pace, read_pace

    paced = at_pace(machine, read_pace(path))
    told = known_words(paced.learned) if paced.learned else "nothing learned yet"
    complain(f"times at the pace of {path}: {told}")
    return paced


def knowing(machine: Machine, path: Path | None) -> Machine:
    """The machine by the times of its file, with what is known of the person: for a job, which is told by it.

    Raises:
        SequencerError: The file can't be read, or is not a pace file.
    """
    if path is None:
        return machine
    from dataclasses import replace

    from sequencer.job.learning.pace import read_pace, records_of
    from sequencer.plan.hours.records import known_from

    pace = read_pace(path)
    records = records_of(pace)
    return replace(machine, learned=known_from(records, machine, pace.person)) if records else machine
