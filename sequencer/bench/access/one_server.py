"""One server in a folder at a time: two would write the file of its devices over each other."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from sequencer.errors import SequencerError

LOCK_FILE = ".bench-lock"


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Hold the folder's lock; the system lets go of it when the process ends, however it ends.

    Raises:
        SequencerError: Another process holds it, or the folder may not be written.
    """
    try:
        file = (folder / LOCK_FILE).open("ab")
    except OSError as why:
        raise SequencerError(
            f"can't be written: {why.strerror}",
            "check the folder and your rights there",
            at=folder / LOCK_FILE,
        ) from why
    with file:
        try:
            _lock(file)
        except OSError:
            raise SequencerError(
                "this job is being served already", "open that page, or stop it first", at=folder
            ) from None
        yield


def _lock(file: BinaryIO) -> None:
    """Lock the file for this process alone, at once or not at all.

    Raises:
        OSError: Somebody else has it.
    """
    if os.name == "nt":
        import msvcrt

        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
