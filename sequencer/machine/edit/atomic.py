"""Writing files: a reader sees the old one or the new one, and a crash leaves one of them whole.

Everything that the program writes over what may be there already goes through :func:`replace_file`. It runs
on systems without rights for groups, folders that can be opened, or a ``umask``.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
import time
from pathlib import Path

from sequencer.errors import SequencerError

_PATIENCE = (0.05, 0.1, 0.2, 0.4)
"""Seconds between tries to replace a file that another program holds open, where the system refuses that."""

_HELD_OPEN = frozenset({5, 32})
"""Windows: ERROR_ACCESS_DENIED and ERROR_SHARING_VIOLATION (learn.microsoft.com, System Error Codes)."""

_REMEDIES = {
    errno.ENOSPC: "make room",
    getattr(errno, "EDQUOT", errno.ENOSPC): "make room",
    errno.EFBIG: "make room",
    errno.EISDIR: "name a file in it",
    errno.ENOENT: "make the folder first, or name another",
}


def replace_file(path: Path, content: bytes, named: str | None = None) -> None:
    """Write ``content`` to ``path``: beside it first, then in its place.

    A link is followed and stays; rights are kept. What is no plain file (a pipe, a terminal,
    ``/dev/null``) is written to, never replaced.

    Args:
        path: Where to.
        content: The whole of it.
        named: What messages call it, where its path is nobody's business.

    Raises:
        SequencerError: It can't be written; what was there before still is, and nothing is left beside it.
    """
    what = named or str(path)
    try:
        there = _about(path)
        if there is None or stat.S_ISREG(there.st_mode):
            _put_in_place(Path(os.path.realpath(path)), what, content, there)
        elif stat.S_ISBLK(there.st_mode):
            raise SequencerError(f"{what} is a disk", "name a file")
        else:
            with path.open("wb", buffering=0) as stream:
                _write_all(stream.fileno(), content)
    except OSError as fault:
        raise cannot_write(what, fault) from fault


def cannot_write(what: object, fault: OSError, *, verb: str = "written") -> SequencerError:
    """What to say when the system refuses to write ``what``: why, and what to do."""
    remedy = _REMEDIES.get(fault.errno or 0, "name a file in a folder that you may write to")
    if getattr(fault, "winerror", None) in _HELD_OPEN:
        remedy = "close the program that has it open, or name another file"
    return SequencerError(f"{what} can't be {verb}: {fault.strerror or fault}", remedy)


def sync_folder(folder: Path) -> None:
    """Make a new name in ``folder`` last, where the system can."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return  # Windows opens no folders
    try:
        with contextlib.suppress(OSError):
            os.fsync(handle)
    finally:
        os.close(handle)


def _about(path: Path) -> os.stat_result | None:
    with contextlib.suppress(FileNotFoundError):
        return path.stat()
    return None


def _put_in_place(real: Path, what: str, content: bytes, there: os.stat_result | None) -> None:
    if there is not None and not there.st_mode & 0o222:  # whoever owns the folder could still replace it
        raise SequencerError(f"{what} is write-protected", "make it writable, or name another file")
    beside = real.with_name(f".sequencer-{secrets.token_hex(8)}")
    # A new file gets the rights that this process gives; one in place of another is private until it has its.
    rights = 0o666 if there is None else 0o600
    try:
        with open(beside, "xb", opener=lambda name, flags: os.open(name, flags, rights)) as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if there is not None:
            _keep_rights(beside, there)
        _replace(beside, real)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    sync_folder(real.parent)


def _keep_rights(file: Path, there: os.stat_result) -> None:
    own = file.stat()
    if (own.st_uid, own.st_gid) != (there.st_uid, there.st_gid):
        with contextlib.suppress(OSError):  # only root can give a file away
            os.chown(file, there.st_uid, there.st_gid)
    file.chmod(stat.S_IMODE(there.st_mode))


def _replace(file: Path, place: Path) -> None:
    for wait in _PATIENCE:
        try:
            file.replace(place)
        except OSError as fault:
            if getattr(fault, "winerror", None) not in _HELD_OPEN:
                raise
            time.sleep(wait)
        else:
            return
    file.replace(place)


def _write_all(handle: int, content: bytes) -> None:
    left = memoryview(content)
    while left:
        left = left[os.write(handle, left) :]
