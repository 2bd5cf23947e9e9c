"""How a script begins a job and opens one that is under way."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from sequencer.door import arguments
from sequencer.door.arguments import File, Parts
from sequencer.plan.plan import Teardown

if TYPE_CHECKING:
    from sequencer.job.desk import Desk


def begin_job(
    folder: File,
    removal: Teardown,
    *,
    title: str = "",
    job: Parts = (),
    people: Iterable[str] = (),
    toolbox: File | None = None,
    sittings: Iterable[int] = (),
    database: str | None = None,
    person: str | None = None,
    device: str | None = None,
) -> Desk:
    """Make a job's folder for a plan, with its own copy of the machine file, and open it.

    Args:
        folder: The folder to make: new, or empty.
        removal: The plan that the job begins with.
        title: What the job is called; else the machine and what is taken off it.
        job: The jobs of the machine file that it is, by name: what they renew by experience is remembered.
        people: Who works at it.
        toolbox: The person's toolbox file.
        sittings: How long the sittings may be, each in minutes.
        database: A URL of a database for the journal, if not a file in the folder.
        person: In whose name, as for ``open_job``.
        device: On which device.

    Raises:
        SequencerError: The folder is taken, or can't be made.
    """
    from sequencer.document.plans.plan import aims_of
    from sequencer.job.changes.begin import begin, copied
    from sequencer.job.desk import Desk
    from sequencer.job.whose import who

    if not isinstance(removal, Teardown):
        raise TypeError(f"removal is a plan from plan_removal, not {arguments.kind(removal)}")
    names = arguments.names("people", people)
    minutes = [arguments.whole("sittings", one) for one in arguments.several("sittings", sittings)]
    by = who(names, person, device)
    made = begin(
        arguments.path("folder", folder),
        removal,
        copied(Path(removal.machine.file)),
        by,
        title=title or f"{removal.machine.name}: {aims_of(removal)}",
        jobs=[arguments.typical(removal.machine, one).name for one in arguments.several("job", job)],
        people=names,
        toolbox=None if toolbox is None else arguments.path("toolbox", toolbox),
        sittings=minutes,
        database=database,
    )
    return Desk(made, by)


def open_job(folder: File | None = None, *, person: str | None = None, device: str | None = None) -> Desk:
    """A job under way; leave its ``with`` block, or ``close`` it, when you are done.

    Args:
        folder: The job's folder or one below it; else that of ``SEQUENCER_JOB``, or the working folder.
        person: Who acts; else the job's one person, or whoever is logged in.
        device: On which device; else that of ``SEQUENCER_DEVICE``, or this computer.

    Raises:
        NoJobError: There is no job.
        SequencerError: Its card or its journal can't be read.
    """
    from sequencer.job.whose import open_desk

    return open_desk(None if folder is None else arguments.path("folder", folder), person, device)
