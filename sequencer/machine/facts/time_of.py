"""What a time of the file is the time of."""

from __future__ import annotations

from typing import NamedTuple


class TimeOf(NamedTuple):
    """``what`` is done to ``subject``: a part, ``part/joint``, a task or a fluid.

    It is the way in's (``undo``, ``remove``) or, where the way back has a time of its own, that of the way
    back (``fasten``, ``restore``, ``fill``).
    """

    what: str
    subject: str
