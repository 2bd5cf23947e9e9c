"""The text of a machine file, or one clear fault: what is no text, or too long, is not read any further."""

from __future__ import annotations

import difflib
import re
import stat
from pathlib import Path

from sequencer.machine.faults import Faults, quote
from sequencer.machine.model import Place

MOST_BYTES = 512 * 1024
"""A longer file is refused: this is some twenty times a machine of a hundred parts."""

# What YAML 1.2 calls printable (section 5.1), less the C1 control characters; a byte order mark inside a text
# and half a surrogate pair belong in no file.
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")

_TOO_BIG = (
    f"a machine file has at most {MOST_BYTES // 1024} KiB; describe the machine in less, or in two files"
)


def unprintable(text: str) -> re.Match[str] | None:
    """The first character that belongs in no text, if there is one."""
    return _UNPRINTABLE.search(text)


def read_source(path: Path, faults: Faults, named: str = "") -> str | None:
    """The text of the file at ``path``, which messages call ``named``; ``None`` after noting a fault."""
    top = Place(named or str(path), 1, 1)
    try:
        content = _read(path, top, faults)
    except FileNotFoundError:
        faults.error(top, "there is no such file", _sibling(path))
    except PermissionError:
        faults.error(top, "the file may not be read", "give yourself permission to read it")
    except (OSError, ValueError) as why:
        reason = why.strerror if isinstance(why, OSError) and why.strerror else str(why)
        faults.error(top, f"the file can't be read: {quote(reason)}", "check the path")
    else:
        return None if content is None else _decode(content, top, faults)
    return None


def check_text(text: str, name: str, faults: Faults) -> str | None:
    """``text`` if it may be parsed; ``None`` after noting a fault."""
    if len(text) > MOST_BYTES:
        faults.error(Place(name, 1, 1), f"the text is {len(text) // 1024} KiB long", _TOO_BIG)
        return None
    if found := unprintable(text):
        place = _place_of(text, found.start(), name)
        code = f"U+{ord(found[0]):04X}"
        if found[0] == "\0":
            faults.error(
                place, "this is not text: it has a zero byte", "give a machine file, written as plain text"
            )
        else:
            faults.error(place, f"there is a control character in the text ({code})", "take it out")
        return None
    return text


def _read(path: Path, top: Place, faults: Faults) -> bytes | None:
    about = path.stat()
    if stat.S_ISDIR(about.st_mode):
        faults.error(top, "this is a folder", "give a machine file in it")
        return None
    if not stat.S_ISREG(about.st_mode):
        faults.error(top, "this is not a file but a device or a pipe", "give a machine file")
        return None
    if about.st_size <= MOST_BYTES:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        if len(content) <= MOST_BYTES:
            return content
    faults.error(top, f"the file is {max(about.st_size, MOST_BYTES + 1) / 1024:,.0f} KiB long", _TOO_BIG)
    return None


def _decode(content: bytes, top: Place, faults: Faults) -> str | None:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.error(top, "the file is in UTF-16", "save it as UTF-8")
        return None
    if b"\0" in content:
        line = content.count(b"\n", 0, content.index(b"\0")) + 1
        faults.error(
            Place(top.file, line, 1),
            "this is not text: it has a zero byte",
            "give a machine file, written as plain text",
        )
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as why:
        line = content.count(b"\n", 0, why.start) + 1
        column = why.start - (content.rfind(b"\n", 0, why.start) + 1) + 1
        faults.error(
            Place(top.file, line, column),
            f"this is not UTF-8: byte {why.start} is {content[why.start]:#04x}",
            "save the file as UTF-8",
        )
        return None
    return check_text(text, top.file, faults)


def _place_of(text: str, index: int, name: str) -> Place:
    before = text[:index]
    return Place(name, before.count("\n") + 1, index - (before.rfind("\n") + 1) + 1)


def _sibling(path: Path) -> str:
    """Advice for a path that leads nowhere: the file beside it that is spelt alike."""
    try:
        beside = [entry.name for _, entry in zip(range(1000), path.parent.iterdir(), strict=False)]
    except (OSError, ValueError):
        return "check the path"
    near = difflib.get_close_matches(path.name, sorted(beside), n=1)
    return f"did you mean {quote(near[0])}?" if near else "check the path"
