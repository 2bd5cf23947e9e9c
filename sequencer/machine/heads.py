"""Tools told from the head of a fastener: ``13`` asks for a 13 mm socket, ``T25`` for a bit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from sequencer.machine.model import HAND, Tool
from sequencer.machine.tables import table

_SIZES = {
    "mm": r"(?P<size>[0-9]{1,3}(?:\.[0-9]{1,2})?)",
    "inch": r"(?P<size>(?:[0-9]{1,2}[ -])?[0-9]{1,2}/[0-9]{1,2}|[0-9]{1,2}(?:\.[0-9]{1,4})?)",
    "mark": r"(?P<size>[0-9]{1,3})",
}

BY_HAND = Tool(HAND, "by hand")


@dataclass(frozen=True)
class _Row:
    """A row of the table, and the pattern of each of its forms."""

    data: dict[str, Any]
    patterns: tuple[re.Pattern[str], ...]


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(data, tuple(_pattern(form, _SIZES.get(data["size"], "")) for form in data["forms"]))
        for data in table("heads")["head"]
    )


def _pattern(form: str, size: str) -> re.Pattern[str]:
    """The pattern of a form; spaces may be missing, and may stand where letters and size meet."""
    pieces = (r"\s*".join(re.escape(word) for word in piece.split()) for piece in form.split("{size}"))
    return re.compile(rf"\s*{size}\s*".join(pieces) if "{size}" in form else "".join(pieces), re.IGNORECASE)


@cache
def tool_for(head: str, *, spanner: bool = False) -> Tool | None:
    """The tool for a head as a file writes it; ``None`` where none fits.

    Args:
        head: ``10``, ``1/2 in``, ``T25``, ``allen 6`` …
        spanner: The kind of joint wants a spanner, where there is one for this head.
    """
    text = " ".join(head.split())
    for row in _rows():
        for pattern in row.patterns:
            match = pattern.fullmatch(text) if len(text) <= 40 else None
            size = _size(match, row.data) if match else None
            if size is not None:
                return _tool(row.data, size, spanner=spanner)
    return None


def _size(match: re.Match[str], data: dict[str, Any]) -> str | None:
    """The size in its one spelling: ``10`` for 10.0, ``1/2`` for 4/8; ``None`` for one that is not made."""
    if data["size"] == "":
        return ""
    written = match["size"]
    if data["size"] == "mark":
        return written if written in data["sizes"] else None
    try:
        value = sum((Fraction(piece) for piece in re.split("[ -]", written)), Fraction(0))
    except ZeroDivisionError:
        return None
    if not 0 < value <= data["most"]:
        return None
    if data["size"] == "mm":
        return f"{float(value):g}"
    whole, rest = divmod(value, 1)
    return "-".join(piece for piece in (str(whole) if whole else "", str(rest) if rest else "") if piece)


def _tool(data: dict[str, Any], size: str, *, spanner: bool) -> Tool:
    if data["tool"] == HAND:
        return BY_HAND
    if spanner and "spanner" in data:
        name, label = data["spanner"]
        return Tool(name.format(size=size), label.format(size=size), None)
    return Tool(data["tool"].format(size=size), data["label"].format(size=size), data.get("drive"))


def no_tool(head: str) -> tuple[str, str]:
    """Why no tool fits a head, and what to do about it."""
    text = " ".join(head.split())
    thread = re.fullmatch(r"M([0-9]{1,2}(?:\.[0-9])?)(?: ?x ?[0-9.]+)?", text, re.IGNORECASE)
    if thread:
        return (
            f"`{text}` is a thread, and a head is wanted",
            f"write thread: M{thread[1]}, and the across-flats size as head",
        )
    for row in _rows():
        match = next((match for pattern in row.patterns if (match := pattern.fullmatch(text))), None)
        if match and row.data["size"] == "mark":
            near = sorted(row.data["sizes"], key=lambda size: abs(int(size) - int(match["size"])))[:3]
            made = [row.data["forms"][0].format(size=size) for size in sorted(near, key=int)]
            return f"no tool fits a head `{text}`", f"the nearest that are made are {', '.join(made)}"
    forms = "10, 5.5 mm, 1/2 in, T25, E10, allen 6, PH2, PZ2, slot"
    return f"no tool fits a head `{text[:40]}`", f"write it like {forms}, or name a tool"
