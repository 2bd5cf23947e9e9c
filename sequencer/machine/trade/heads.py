"""Tools told from the head of a fastener: ``13`` asks for a 13 mm socket, ``T25`` for a bit.

One table, ``heads.toml``, is the grammar for all: machine file, survey, what is found on a job, toolbox.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from sequencer.machine.model import HAND, Tool
from sequencer.machine.trade.tables import table

_SIZES = {
    "mm": r"(?P<size>[0-9]{1,3}(?:\.[0-9]{1,2})?)",
    "inch": r"(?P<size>(?:[0-9]{1,2}[ -])?[0-9]{1,2}/[0-9]{1,2}|[0-9]{1,2}(?:\.[0-9]{1,4})?)",
    "mark": r"(?P<size>[0-9]{1,3})",
}

_LONGEST = 40
"""Nobody writes a longer head."""

BY_HAND = Tool(HAND, "by hand")


_COUNTED = re.compile(r"\{size\} (?!mm|in\b|inch)")

_EDGES = (r"(?<![\w./])", r"(?![\w/]|\.[0-9])")
"""What a head in a running text must not touch."""


@dataclass(frozen=True)
class _Form:
    """A way to write the head of a row.

    Attributes:
        pattern: What matches it, with the group ``size`` where it has one.
        spoken: It stands for a head without a size, only in what a person says.
        alone: It is a number without a word or unit, which is a head only where nothing else can stand.
        counted: It begins with a number without a unit, which may be a count: 6 allen bolts.
        filed: Only files have it.
        unsure: For a small head, a key may be meant.
    """

    pattern: str
    spoken: bool = False
    alone: bool = False
    counted: bool = False
    filed: bool = False
    unsure: bool = False


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
        usual: The size is made as a rule; others are asked back where they are said.
        unsure: A key of this size may be meant: 5 mm hex.
    """

    said: str
    written: str
    tool: Tool | None
    start: int
    end: int
    usual: bool = True
    unsure: bool = False


@dataclass(frozen=True)
class HeadFamily:
    """Heads of one sort without a size: ``allen``, ``torx``, ``phillips``.

    Attributes:
        said: As it was said.
        end: Where it ends in the text.
        form: How one is written, with ``{size}``.
        likely: The head that is asked about first; empty where none is likelier than others.
        often: Those that are met most.
    """

    said: str
    end: int
    form: str
    likely: str = ""
    often: tuple[str, ...] = ()

    def sized(self, size: str) -> str | None:
        """The head with this size, as a file has it; None where it is not made."""
        written = self.form.format(size=size)
        return written if tool_for(written) is not None else None


@cache
def _rows() -> tuple[_Row, ...]:
    rows = []
    for data in table("heads")["head"]:
        size = _SIZES.get(data["size"], "")
        forms = [
            _Form(_pattern(form, size), alone=form == "{size}", counted=bool(_COUNTED.match(form)))
            for form in data["forms"]
        ]
        forms += [_Form(_pattern(form, size), unsure=True) for form in data.get("unsure", [])]
        forms += [_Form(_pattern(form, size), filed=True) for form in data.get("filed", [])]
        forms += [_Form(_pattern(form, ""), spoken=True) for form in data.get("meant", [])]
        rows.append(_Row(data, tuple(forms)))
    return tuple(rows)


@cache
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


@cache
def _said_heads() -> tuple[tuple[tuple[_Row, _Form], ...], re.Pattern[str]]:
    """The forms of heads that stand in a running text, and what matches where any of them does."""
    forms = tuple(
        (row, form) for row in _rows() for form in row.forms if not (form.alone or form.counted or form.filed)
    )
    return forms, _any_of(form.pattern for _, form in forms)


@cache
def _said_families() -> tuple[tuple[tuple[_Row, str], ...], re.Pattern[str]]:
    """The words for sorts of heads, and what matches where any of them stands."""
    words = tuple((row, word) for row in _rows() for word in row.data.get("family", []))
    return words, _any_of(_pattern(word, "") for _, word in words)


def _any_of(found: Iterable[str]) -> re.Pattern[str]:
    """Any of the patterns; groups in them are of no account."""
    return _within("|".join(f"(?:{re.sub(r'[(][?]P<[a-z]+>', '(?:', one)})" for one in found))


def head_at(text: str, start: int) -> SaidHead | None:
    """The head that is said at a place of a running text: the longest form that fits; else a size not made.

    A bare number is none: it may be a count. Nor is ``6 allen``, for the same reason.
    """
    fits: list[SaidHead] = []
    misfits: list[SaidHead] = []
    forms, any_form = _said_heads()
    for row, form in forms if any_form.match(text, start) else ():
        match = _within(form.pattern).match(text, start)
        if match is None:
            continue
        size = "" if form.spoken else _size(match, row.data)
        if size is None:
            misfits.append(SaidHead(match[0], match[0], None, match.start(), match.end()))
        elif row.data["size"] != "inch" or "/" in size or '"' in match[0]:
            # Else it is none: "2 in the cover" is no head of two inches.
            written = str(row.data.get("written", row.data["forms"][0])).format(size=size)
            usual = size in row.data.get("usual", [size])
            tool = _tool(row.data, size, spanner=False)
            unsure = form.unsure and is_key_size(size)
            fits.append(SaidHead(match[0], written, tool, match.start(), match.end(), usual, unsure))
    return max(fits or misfits, key=lambda found: len(found.said), default=None)


def family_at(text: str, start: int) -> HeadFamily | None:
    """The sort of head that is said at a place without a size: the longest that fits."""
    found: list[HeadFamily] = []
    words, any_word = _said_families()
    for row, word in words if any_word.match(text, start) else ():
        match = _within(_pattern(word, "")).match(text, start)
        if match:
            form = str(row.data["forms"][0])
            likely = form.format(size=row.data["likely"]) if "likely" in row.data else ""
            often = tuple(form.format(size=one) for one in row.data["often"])
            found.append(HeadFamily(match[0], match.end(), form, likely, often))
    return max(found, key=lambda one: len(one.said), default=None)


def family_sizes(family: str) -> tuple[str, ...]:
    """The likeliest heads of a sort, as a file has them: ``PH2`` first of phillips."""
    sort = family_at(family, 0)
    return sort.often if sort is not None else ()


def is_bare(head: str) -> bool:
    """It is a number alone, millimetres across the flats: ``10``, ``5.5``."""
    return head.replace(".", "", 1).isdecimal()


@cache
def head_words() -> frozenset[str]:
    """The words of heads, in small letters: ``cap``, ``slot``, ``allen``."""
    said = [form for row in _rows() for key in ("forms", "family", "meant") for form in row.data.get(key, [])]
    return frozenset(re.findall(r"[a-z]+", " ".join(said).casefold()))


def is_key_size(size: str) -> bool:
    """Hexagons of this size in millimetres are met in screws at least as often as on them."""
    return size in table("heard")["key_sizes"]


def usual_size(size: str) -> bool:
    """Whether fasteners are made with this across-flats size in millimetres, as a rule."""
    return f"{float(size):g}" in _rows()[0].data["usual"]


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
            exact = not form.spoken and len(text) <= _LONGEST
            match = _compiled(form.pattern).fullmatch(text) if exact else None
            size = _size(match, row.data) if match else None
            if size is not None and not (form.unsure and is_key_size(size)):
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
    name, label, drive = data["tool"], data["label"], data.get("drive")
    if spanner and "spanner" in data:
        (name, label), drive = data["spanner"], None
    across = data.get("across")
    mm = float(sum(map(Fraction, size.split("-"))) * Fraction(str(across))) if across else None
    return Tool(name.format(size=size), label.format(size=size), drive, across_mm=mm)


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
        patterns = (_compiled(form.pattern) for form in row.forms if not form.spoken)
        match = next((match for pattern in patterns if (match := pattern.fullmatch(text))), None)
        if match and row.data["size"] == "mm" and is_key_size(match["size"]):
            size = match["size"]
            return (
                f"`{text}` is said of a key and of a socket alike",
                f"write allen {size} for a key, {size} mm hex head for a socket or spanner",
            )
        if match and row.data["size"] == "mark":
            near = sorted(row.data["sizes"], key=lambda size: abs(int(size) - int(match["size"])))[:3]
            made = [row.data["forms"][0].format(size=size) for size in sorted(near, key=int)]
            return f"no tool fits a head `{text}`", f"the nearest that are made are {', '.join(made)}"
    written = head_meant(text[:_LONGEST])
    if written:
        return f"no tool fits a head `{text[:_LONGEST]}`", f"write {written}, if that is what it is"
    forms = "10, 5.5 mm, 1/2 in, T25, E10, allen 6, PH2, PZ2, slot"
    return f"no tool fits a head `{text[:_LONGEST]}`", f"write it like {forms}, or name a tool"


def head_meant(text: str) -> str:
    """A head as a file has it, for what a person might say instead; empty where nothing is near."""
    for place in (match.start() for match in re.finditer(r"\S+", text)):
        head, family = head_at(text, place), family_at(text, place)
        if head is not None and head.tool is not None:
            return head.written
        if family is not None:
            return family.likely or f"it with its size, like {family.form.format(size=6)}"
    return ""
