"""A job's folder: ``job.yaml``, its own copy of the machine file, the journal, and the photos."""

from __future__ import annotations

import contextlib
import os
import secrets
import shlex
import shutil
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from sequencer.errors import SequencerError
from sequencer.job.journal.card import CARD, JOURNAL, Card, card_text, read_card
from sequencer.job.journal.edits import MachineFile
from sequencer.job.journal.events import Event
from sequencer.job.journal.journal import Journal
from sequencer.machine.edit.atomic import cannot_write, sync_folder

PHOTOS = "photos"
FOLDER_VARIABLE = "SEQUENCER_JOB"
"""The environment variable that names the job folder, for who works outside it."""


class NoJobError(SequencerError):
    """There is no job where one is looked for."""


@dataclass(frozen=True)
class JobFolder:
    """A job folder that is there, and what its card says."""

    path: Path
    card: Card
    bare: bool = False
    """Its files are called by their bare names: whoever reads of them is far from this disk."""

    def called(self, file: Path) -> str:
        """What messages call a file of the job: from the working folder on, where it lies in that."""
        here = Path.cwd()
        near = file.relative_to(here) if file.is_relative_to(here) else file
        return file.name if self.bare else str(near)

    @property
    def machine(self) -> Path:
        """This job's own copy of the machine file."""
        return self.path / self.card.machine

    @property
    def machine_file(self) -> MachineFile:
        """The same, with what messages call it."""
        return MachineFile(self.machine, self.called(self.machine))

    @property
    def photos(self) -> Path:
        """Where the photos are."""
        return self.path / PHOTOS

    @property
    def toolbox(self) -> Path | None:
        """The person's toolbox file, if the job names one; a relative path starts at the job folder."""
        return self.path / self.card.toolbox if self.card.toolbox else None

    def journal(self) -> Journal:
        """Open the journal.

        Raises:
            JournalError: It is missing or can't be read.
        """
        return Journal.open(self.card.database, self.path, self.card.id, self.called)


def find_job(start: Path | None = None) -> JobFolder:
    """The job that ``start`` (or the environment, or the working folder) lies in, subfolders included.

    Raises:
        NoJobError: There is none.
        MachineFileError: Its card has faults.
    """
    told = os.environ.get(FOLDER_VARIABLE)
    asked = start or (Path(told) if told else None)
    here = (asked or Path.cwd()).absolute()
    for folder in (here, *here.parents):
        if (folder / CARD).is_file():
            return JobFolder(folder, read_card(folder / CARD))
    if asked is not None:
        raise NoJobError(
            f"{asked} is not inside a job",
            "name a job folder, or make one: sequencer new FOLDER --off PART",
        )
    below = sorted(card.parent.name for card in here.glob(f"*/{CARD}"))
    into = f" (cd {shlex.quote(below[0])})" if len(below) == 1 else ""
    raise NoJobError(
        "this folder is not inside a job",
        f"go into its folder{into}, or name it with --job; sequencer new FOLDER --off PART makes one",
    )


def own_files(path: Path) -> tuple[Path, ...]:
    """The files that the job in the folder ``path`` lives by; none where no job is."""
    if not (path / CARD).is_file():
        return ()
    try:
        card = read_card(path / CARD)
    except SequencerError:  # it is still a job's card, and can be mended
        return (path / CARD, path / JOURNAL)
    folder = JobFolder(path, card)
    told = [*([folder.toolbox] if folder.toolbox else []), *map(Path, card.pace)]
    return (path / CARD, path / JOURNAL, folder.machine, *told)


def make_job(
    target: Path,
    card: Card,
    machine: bytes,
    first: tuple[Event, ...],
    shapes: Mapping[str, Path] = MappingProxyType({}),
) -> JobFolder:
    """Make a job folder, whole or not at all: it is built beside its place and then takes it.

    ``card.id`` may be empty: the job then gets one. ``machine`` is what its copy of the machine file holds;
    ``shapes`` are the files that this names for the shapes of parts, by their paths in it. One that is not
    there is left out, as the machine file does without it.

    Raises:
        SequencerError: There is something at ``target`` already, or it can't be written.
        JournalError: The database can't be written.
    """
    target = target.absolute()
    refuse_taken(target)
    card = replace(card, id=card.id or str(uuid.uuid4()))
    journal: Journal | None = None
    building: Path | None = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        building = target.with_name(f".{target.name}.new-{secrets.token_hex(4)}")
        building.mkdir()
        (building / PHOTOS).mkdir()
        _write(building / card.machine, machine)
        for name, file in shapes.items():
            if file.is_file():
                (building / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(file, building / name)
        _write(building / CARD, card_text(card).encode())
        journal = Journal.create(card.database, building, card.id)
        journal.append(first)
        journal.close()
        _take_place(building, target)
    except BaseException as why:
        _clear_up(building, journal)
        if isinstance(why, OSError):
            raise cannot_write(target, why, verb="made") from why
        raise
    return JobFolder(target, card)


def refuse_taken(target: Path) -> None:
    """See to it that nothing is at ``target`` but, at most, an empty folder.

    Raises:
        SequencerError: There is something.
    """
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise SequencerError(f"{target} is there already, and is no folder", "name another folder")
    if target.is_dir() and any(target.iterdir()):
        raise SequencerError(
            f"{target} is there already, and not empty",
            "it is a job: go on in it" if (target / CARD).exists() else "name a new folder, or empty it",
        )


def _clear_up(building: Path | None, journal: Journal | None) -> None:
    if journal is not None:
        with contextlib.suppress(SequencerError):  # the database is what failed: there is nothing in it
            journal.drop()
        journal.close()
    if building is not None:
        shutil.rmtree(building, ignore_errors=True)


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _take_place(building: Path, target: Path) -> None:
    """Give the folder its name, for good; Windows renames no folder over an empty one."""
    if target.is_dir():
        target.rmdir()
    building.rename(target)
    sync_folder(target.parent)
