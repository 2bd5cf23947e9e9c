"""Tools told from the head of a fastener: ``13`` asks for a 13 mm socket, ``T25`` for a bit.

One table, ``heads.toml``, is the grammar for all: machine file, survey, what is found on a job, toolbox.
"""

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

_LONGEST = 40
"""Nobody writes a longer head."""

BY_HAND = Tool(HAND, "by hand")


_EDGES = (r"(?<![\w./])", r"(?![\w/]|\.[0-9])")
"""What a head in a running text must not touch."""


@dataclass(frozen=True)
class _Form:
    """A way to write the head of a row.

    Attributes:
        pattern: What matches it, with the group ``size`` where it has one.
        meant: The size that is meant where the form does not say one; only in what a person says.
        alone: It is a number without a word or unit, which is a head only where nothing else can stand.
    """

    pattern: str
    meant: str | None = None
    alone: bool = False


@dataclass(frozen=True)
class _Row:
    """A row of the table, and its forms."""

    data: dict[str, Any]
    forms: tuple[_Form, ...]


@dataclass(frozen=True)
class SaidHead:
    """A head in a running text.

    Attributes:
        said: As it was said: ``6 mm hex key``.
        written: As a machine file has it: ``allen 6``; as it was said, where no tool fits.
        tool: The tool that it asks for; None for a size that is not made.
        start, end: Where in the text.
    """

    said: str
    written: str
    tool: Tool | None
    start: int
    end: int


@cache
def _rows() -> tuple[_Row, ...]:
    rows = []
    for data in table("heads")["head"]:
        size = _SIZES.get(data["size"], "")
        forms = [_Form(_pattern(form, size), alone=form == "{size}") for form in data["forms"]]
        meant = data.get("meant", {})
        forms += [_Form(_pattern(form, ""), meant=size) for form, size in meant.items()]
        rows.append(_Row(data, tuple(forms)))
    return tuple(rows)


def _pattern(form: str, size: str) -> str:
    """The pattern of a form; spaces may be missing, stand for hyphens, and stand between letters and size."""

    def spelt(piece: str) -> str:
        words = (re.split("-", word) for word in piece.split())
        return r"\s*".join(r"[\s-]*".join(re.escape(bit) for bit in bits) for bits in words)

    pieces = [spelt(piece) for piece in form.split("{size}")]
    return rf"\s*{size}\s*".join(pieces).removeprefix(r"\s*").removesuffix(r"\s*")


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


@cache
def _within(pattern: str) -> re.Pattern[str]:
    before, after = _EDGES
    return re.compile(f"{before}(?:{pattern}){after}", re.IGNORECASE)


def head_in(text: str, *, sized: bool = False) -> SaidHead | None:
    """The head that a person names in a running text: the longest form that fits; else a size not made.

    A bare number is none: it may be a count. ``sized`` leaves out the forms without a size: slot, by hand.
    """
    fits: list[SaidHead] = []
    misfits: list[SaidHead] = []
    for row in _rows():
        for form in row.forms:
            if form.alone or (sized and (form.meant is not None or row.data["size"] == "")):
                continue
            for match in _within(form.pattern).finditer(text):
                size = form.meant if form.meant is not None else _size(match, row.data)
                if size is None:
                    misfits.append(SaidHead(match[0], match[0], None, match.start(), match.end()))
                elif row.data["size"] != "inch" or "/" in size or '"' in match[0]:
                    # Else it is none: "2 in the cover" is no head of two inches.
                    written = str(row.data.get("written", row.data["forms"][0])).format(size=size)
                    tool = _tool(row.data, size, spanner=False)
                    fits.append(SaidHead(match[0], written, tool, match.start(), match.end()))
    return max(fits or misfits, key=lambda found: len(found.said), default=None)


@cache
def tool_for(head: str, *, spanner: bool = False) -> Tool | None:
    """The tool for a head as a file writes it; ``None`` where none fits.

    Args:
        head: ``10``, ``1/2 in``, ``T25``, ``allen 6`` …
        spanner: The kind of joint wants a spanner, where there is one for this head.
    """
    text = " ".join(head.split())
    for row in _rows():
        for form in row.forms:
            exact = form.meant is None and len(text) <= _LONGEST
            match = _compiled(form.pattern).fullmatch(text) if exact else None
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
        patterns = (_compiled(form.pattern) for form in row.forms if form.meant is None)
        match = next((match for pattern in patterns if (match := pattern.fullmatch(text))), None)
        if match and row.data["size"] == "mark":
            near = sorted(row.data["sizes"], key=lambda size: abs(int(size) - int(match["size"])))[:3]
            made = [row.data["forms"][0].format(size=size) for size in sorted(near, key=int)]
            return f"no tool fits a head `{text}`", f"the nearest that are made are {', '.join(made)}"
    found = head_in(text[:_LONGEST])
    if found is not None and found.tool is not None:
        return f"no tool fits a head `{text[:_LONGEST]}`", f"write {found.written}, if that is what it is"
    forms = "10, 5.5 mm, 1/2 in, T25, E10, allen 6, PH2, PZ2, slot"
    return f"no tool fits a head `{text[:_LONGEST]}`", f"write it like {forms}, or name a tool"
