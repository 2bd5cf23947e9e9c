"""Opening a job in somebody's name: who it is and on which device, where nobody says so."""

from __future__ import annotations

import contextlib
import os
import socket
from pathlib import Path

from sequencer.job.desk import By, Desk
from sequencer.job.journal.folder import find_job


def open_desk(start: Path | None = None, person: str | None = None, device: str | None = None) -> Desk:
    """The desk of the job that ``start`` (or the environment, or the working folder) lies in.

    Raises:
        NoJobError: There is no job.
        JournalError: Its journal can't be read.
        MachineFileError: ``job.yaml`` has faults.
    """
    folder = find_job(start)
    return Desk(folder, who(folder.card.people, person, device))


def who(people: tuple[str, ...] | list[str], person: str | None = None, device: str | None = None) -> By:
    """Who acts: ``person``, or the job's one person, or whoever is logged in; on ``device``, or this one."""
    named = person or (people[0] if len(people) == 1 else None) or _logged_in()
    return By(named, device or os.environ.get("SEQUENCER_DEVICE") or socket.gethostname())


def _logged_in() -> str:
    """The name of whoever is logged in; empty where the system does not know."""
    import getpass

    with contextlib.suppress(OSError, KeyError, ImportError):
        return getpass.getuser()
    return ""
