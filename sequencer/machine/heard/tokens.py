"""A line as tokens: each as it was said and as it is read, so that nothing said is ever lost."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sequencer.machine.trade.tables import table

_SIGNS = str.maketrans(
    {"×": "x", "✕": "x", "*": "x", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-"}
)
_SIGNS |= str.maketrans(
    {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "−": "-", "\t": " ", "⁄": "/", "″": '"', "°": " deg"}
)
_TOKEN = re.compile(
    r"\d+(?:-\d+)+(?![/\d])"  # a drawing's 12-4
    r"|\d{1,2}-(?:pt|point)(?![\w-])"  # 12-point
    r"|\d+(?:\.\d+)?(?:/\d+)?(?:-\d+/\d+)?(?:[a-zA-Z]+\d*(?:\.\d+)?)?\"?"  # 10, 10mm, 1/2, 1-1/8, 3xM6, 8.8
    r"|#\d+|&|[^\W\d_][\w'./+-]*[\w']|\w|[,;:.!?()\"+\n-]"
)
_GLUED = (
    (re.compile(r"(\d+)x(\d.*|[a-z]+\d.*)", re.IGNORECASE), r"\1 x \2"),  # 3x13, 3xT25, 4xM6
    (
        re.compile(r"(bolts?|nuts?|screws?|studs?|unions?)(m?\d.*)", re.IGNORECASE),
        r"\1 \2",
    ),  # boltsM6, nuts10
    (re.compile(r"(\d+)(bolts?|nuts?|screws?|studs?|clips?|unions?|plugs?)", re.IGNORECASE), r"\1 \2"),
    (re.compile(r"x(\d+)", re.IGNORECASE), r"x \1"),
    (re.compile(r"(\d+)x", re.IGNORECASE), r"\1 x"),  # 3x T25
)
_SEVERAL = re.compile(r"^((?:tx?|ph|pz|e|m)\d+)s$")
"""Several of a head or thread: five T20s."""
_UNIT_SIGN = re.compile(r"(?<=[^\W\d_])[*×](?=[^\W\d_])")
"""Between letters it is a unit's, not how many: 47 N*m."""
_GLUED_UNIT = re.compile(r"(?<=\d)(?=(?:in|ft|lbf?|kgf?)-[a-z])", re.IGNORECASE)  # 106in-lb
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")

HOLE = "¦"
"""Stands where something was taken out, so that words from both sides never meet."""


@dataclass(frozen=True)
class Token:
    """A word or sign: ``norm`` as it is read, in lower case, ``raw`` as it was said."""

    norm: str
    raw: str


def with_points(line: str) -> str:
    """A line with points for the commas inside numbers."""
    return _DECIMAL_COMMA.sub(".", line)


def tokens_of(line: str) -> list[Token]:
    """The words and signs of a line."""
    text = with_points(_UNIT_SIGN.sub(".", line).translate(_SIGNS))
    found: list[Token] = []
    for match in _TOKEN.finditer(_GLUED_UNIT.sub(" ", text)):
        pieces = [match[0]]
        for pattern, spaced in _GLUED:
            if pattern.fullmatch(match[0]):
                pieces = pattern.sub(spaced, match[0]).split()
                break
        norms = (_SEVERAL.sub(r"\1", piece.casefold().replace("'", "")) for piece in pieces)
        found += [Token(norm, piece) for norm, piece in zip(norms, pieces, strict=True)]
    return list(_shortened(found))


def _shortened(tokens: list[Token]) -> Iterator[Token]:
    """``the cover's off`` is: the cover is off. The ``driver's side`` stays what it is."""
    for place, one in enumerate(tokens):
        short = re.fullmatch(r"(\w+)'s", one.raw)
        following = tokens[place + 1].norm if place + 1 < len(tokens) else ""
        if short and (
            short[1].casefold() in table("heard")["is_behind"]
            or following in table("heard")["is_before"]
            or following in table("heard")["numbers"]
            or following[:1].isdigit()
        ):
            yield Token(short[1].casefold(), short[1])
            yield Token("is", "is")
        else:
            yield one


class Words:
    """Tokens out of which one thing after another is taken; what is left is what nothing has understood."""

    def __init__(self, tokens: Iterable[Token]) -> None:
        self.tokens = list(tokens)

    @property
    def text(self) -> str:
        """As it is read, a blank between tokens."""
        return " ".join(one.norm for one in self.tokens)

    def within(self, start: int, end: int) -> list[Token]:
        """The tokens that a stretch of the text covers."""
        first, last = self._at(start, end)
        return self.tokens[first:last]

    def _at(self, start: int, end: int) -> tuple[int, int]:
        """Where they begin and end."""
        first = last = None
        place = 0
        for number, one in enumerate(self.tokens):
            stop = place + len(one.norm)
            if place < end and stop > start:
                first = number if first is None else first
                last = number
            place = stop + 1
        return (0, 0) if first is None or last is None else (first, last + 1)

    def raw(self, start: int, end: int) -> str:
        """As it was said, what a stretch of the text covers."""
        first, last = self._at(start, end)
        return said(self.tokens[first:last])

    def cut(self, start: int, end: int) -> str:
        """Take a stretch of the text out; returns it as it was said."""
        first, last = self._at(start, end)
        taken = said(self.tokens[first:last])
        self.tokens[first:last] = [Token(HOLE, "")]
        return taken

    def find(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """The first match in the text."""
        return pattern.search(self.text)

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """The first match in the text, which is taken out."""
        match = pattern.search(self.text)
        if match:
            self.cut(match.start(), match.end())
        return match

    def runs(self) -> Iterator[list[Token]]:
        """What is left, between the holes."""
        run: list[Token] = []
        for one in [*self.tokens, Token(HOLE, "")]:
            if one.norm == HOLE:
                if run:
                    yield run
                run = []
            else:
                run.append(one)


def said(tokens: Iterable[Token]) -> str:
    """Tokens as they were said: no blank before a comma."""
    text = " ".join(one.raw for one in tokens if one.raw)
    return re.sub(r" ([,;:.!?)])", r"\1", text).replace("( ", "(").strip(" ,;:.-")


def any_of(words: Iterable[str]) -> str:
    """An alternation of plain words, the longest first."""
    return "|".join(re.escape(one) for one in sorted(words, key=len, reverse=True))
