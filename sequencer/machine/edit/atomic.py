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
        mode = real.stat().st_mode & 0o7777 if real.exists() else _usual_mode()
        if not mode & 0o222 and real.exists():  # whoever owns the folder could still replace it
            raise SequencerError(f"{path} is write-protected", "take the protection away, or work on a copy")
        handle, name = tempfile.mkstemp(dir=real.parent, prefix=f".{real.name}.")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
                os.fchmod(stream.fileno(), mode)
                stream.flush()
                os.fsync(stream.fileno())
            Path(name).replace(real)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        _sync_folder(real.parent)
    except OSError as why:
        raise SequencerError(
            f"{path} can't be written: {why.strerror}", "check the folder and your rights there"
        ) from why


def _usual_mode() -> int:
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
