"""Replacing a file so that a reader sees the old one or the new one, and a crash leaves one of them whole."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from sequencer.errors import SequencerError


def replace_file(path: Path, content: bytes) -> None:
    """Write ``content`` to ``path``: beside it first, then in its place. Links are followed, rights are kept.

    Raises:
        SequencerError: The folder is missing, or may not be written to; the file is write-protected.
    """
    real = Path(os.path.realpath(path))
    try:
        mode = real.stat().st_mode & 0o7777 if real.exists() else usual_mode()
        if not mode & 0o222 and real.exists():  # whoever owns the folder could still replace it
            raise SequencerError(f"{path} is write-protected", "take the protection away, or work on a copy")
        put_in_place(real, content, mode)
    except OSError as why:
        raise SequencerError(
            f"{path} can't be written: {why.strerror}", "check the folder and your rights there"
        ) from why


def put_in_place(path: Path, content: bytes, mode: int) -> None:
    """Write ``content`` beside ``path`` and then in its place, on the disk, whole or not at all.

    Raises:
        OSError: It can't be written; what stood there before still does, and nothing is left beside it.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            os.fchmod(stream.fileno(), mode)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def usual_mode() -> int:
    """The rights of a new file, as this process gives them."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _sync_folder(folder: Path) -> None:
    """Make the new name last, too, where the system can."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
