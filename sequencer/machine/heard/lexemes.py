"""What each stretch of a line is to a joint: a number, a head, a kind, a thread, a tool, another word."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import Any

from sequencer.machine.trade.heads import SaidHead, family_at, head_at, tool_for
from sequencer.machine.trade.kinds import kind_of_joint, kind_words
from sequencer.machine.trade.tables import table
from sequencer.quantities import find_torque


class Is(Enum):
    """What a stretch is."""

    NUMBER = "number"
    VAGUE = "vague"
    SIZES = "sizes"  # 4 10s
    TIMES = "times"
    EACH = "each"  # of them
    HEAD = "head"
    FAMILY = "family"
    KIND = "kind"
    THREAD = "thread"
    LENGTH = "length"
    CLASS = "class"
    TORQUE = "torque"
    TOOL = "tool"
    HAND = "hand"
    ADJECTIVE = "adjective"
    FILLER = "filler"
    AND = "and"
    SIGN = "sign"
    OTHER = "other"


@dataclass(frozen=True)
class Lexeme:
    """A stretch of the text: what it is, its value, and where it stands."""

    sort: Is
    value: Any
    start: int
    end: int
    text: str

    def next_to(self, other: Lexeme) -> bool:
        """``other`` follows directly."""
        return other.start - self.end <= 1


@dataclass(frozen=True)
class KindSaid:
    """A kind as it was said.

    Attributes:
        name: The kind's name in ``kinds.toml``.
        word: The word that was used, in the singular.
        many: It stood in the plural.
    """

    name: str
    word: str
    many: bool


_THREAD = re.compile(r"m ?(\d{1,2}(?:\.\d)?)(?: ?(?:x|by|times|-) ?(\d{1,3}(?:\.\d{1,2})?))?(?![\w.]\d|\w)")
_INCH_THREAD = re.compile(r"(#?\d{1,2}(?:/\d{1,2})?(?: ?- ?\d{2})? ?(?:unc|unf))\b")
_LENGTH = re.compile(
    r"(\d{1,3}(?:\.\d)?(?= ?mm)|\d{2,3}(?! long \w+s\b))(?: ?mm)? long\b|long (\d{2,3}) ?mm\b"
)
_CLASS = re.compile(r"(?:class |grade )?(8\.8|10\.9|12\.9)(?![\d.])")
_HAND = re.compile(r"(?:by hand|hand[- ]tight|finger[- ]tight|no tools?|tool[- ]?less)\b")
_SIZED_TOOL = re.compile(r"\d{1,2}(?:\.\d)? ?mm (?:pin )?(?:punch|drift|drill|rod|dowel|drill bit)\b")
_NUMBER = re.compile(r"\d{1,3}(?:\.\d{1,2})?(?![\w/.])")
SIZE_WORDS = {
    "fives": 5, "sixes": 6, "sevens": 7, "eights": 8, "tens": 10, "elevens": 11, "twelves": 12,
    "thirteens": 13, "fourteens": 14, "fifteens": 15, "sixteens": 16, "seventeens": 17,
    "eighteens": 18, "nineteens": 19,
}  # fmt: skip
_SIZES = re.compile(r"(\d{1,2})'?s\b|(" + "|".join(SIZE_WORDS) + r")\b")
_TIMES = re.compile(r"(?:x|times|(?<=\d )off)(?= \d)|x\b")
_EACH = re.compile(
    r"of (?:them|those|these)\b|pieces?\b|pcs\b|in (?:all|total|number)\b|altogether\b|all round\b"
)
_AND = re.compile(r"(?:and|plus|&|\+)(?= |$)")
_WORD = re.compile(r"\S+")
_LEGS = re.compile(r" (?:leg|jaw|arm|pin|point)")
_COUNTED = re.compile(r"(\d{1,2}) \d{1,2}/")
_FRACTION = re.compile(
    r"(?:1-)?\d{1,2}/\d{1,2}(?![\w/.])"
    r"|1 \d{1,2}/\d{1,2}(?= (?:in )?(?:ring |open |socket|spanner|wrench|af\b))"
)


_PART_OF_AN_INCH = re.compile(r"/(?:2|4|8|16|32|64)$")


def lexemes(text: str) -> list[Lexeme]:
    """The text, cut into stretches; none is left out but blanks."""
    found = list(_lexemes(text))
    for place in range(len(found) - 2, 0, -1):
        if head := _whole_inches(found, place):
            found[place : place + 2] = [Lexeme(Is.HEAD, head, head.start, head.end, head.said)]
    return found


def _whole_inches(found: list[Lexeme], place: int) -> SaidHead | None:
    """``2 nuts 1 1/8``: behind what was counted a 1 before a fraction counts nothing, it is of the size."""
    last, one, part, *rest = found[place - 1 : place + 3]
    counted = last.sort is Is.NUMBER or (last.sort is Is.KIND and place > 1 and last.value.many)
    if one.text != "1" or part.sort is not Is.HEAD or not _PART_OF_AN_INCH.search(part.text) or not counted:
        return None
    if last.sort is Is.KIND and (found[place - 2].sort is not Is.NUMBER or _is_kind(rest)):
        return None  # 2 nuts, 1 1/8 bolt
    said = f"{one.text} {part.text}"
    return SaidHead(said, f"{one.text}-{part.text} in", tool_for(said), one.start, part.end)


def _is_kind(rest: list[Lexeme]) -> bool:
    return bool(rest) and rest[0].sort is Is.KIND


def _lexemes(text: str) -> Iterator[Lexeme]:
    torque = find_torque(text)
    place = 0
    while place < len(text):
        if text[place] == " ":
            place += 1
            continue
        if torque and place == torque[1]:
            one = Lexeme(Is.TORQUE, torque[0], place, torque[2], text[place : torque[2]])
            rest = find_torque(text[torque[2] :])
            torque = (rest[0], rest[1] + one.end, rest[2] + one.end) if rest else None
        else:
            one = _lexeme(text, place)
        yield one
        place = max(one.end, place + 1)


def _lexeme(text: str, place: int) -> Lexeme:
    """What stands at a place."""
    sort, value, end = _fixed_at(text, place) or _named_at(text, place) or _plain_at(text, place)
    return Lexeme(sort, value, place, end, text[place:end])


_Found = tuple[Is, Any, int]


def _fixed_at(text: str, place: int) -> _Found | None:
    """What is known by its form alone: a thread, a length, a class."""
    for sort, pattern in _FIRST:
        match = pattern.match(text, place)
        if match and (
            sort is not Is.THREAD or text[max(place - 4, 0) : place] not in ("ine ", "are ", "xzn ")
        ):
            return sort, match[0] if sort is Is.TOOL else match, match.end()
    return None


def _named_at(text: str, place: int) -> _Found | None:
    """A tool, a head, a sort of head or a kind: the longest of them."""
    if other := _no_kinds().match(text, place):
        return Is.OTHER, other[0], other.end()
    tool, kind = _tool_at(text, place), _kind_at(text, place)
    head, family = head_at(text, place), family_at(text, place)
    longest = max(kind[1] if kind else 0, head.end if head else 0, family.end if family else 0)
    counted = _COUNTED.match(text, place)
    if tool and tool[1] >= longest and not (family and family.end >= tool[1]):
        return Is.TOOL, tool[0], tool[1]
    if family and (head is None or head.end < family.end or (head.tool is None and family.end == head.end)):
        return Is.FAMILY, family, family.end
    if head and counted and int(counted[1]) > 1:
        return Is.NUMBER, counted[1], counted.end(1)
    if head and not (kind and kind[1] >= head.end) and not _not_a_head(text, place, head.end):
        return Is.HEAD, head, head.end
    return (Is.KIND, kind[0], kind[1]) if kind else None


def _plain_at(text: str, place: int) -> _Found:
    """A number or some other word."""
    fraction = _FRACTION.match(text, place)
    if fraction and _PART_OF_AN_INCH.search(fraction[0]) and (tool := tool_for(fraction[0])) is not None:
        head = SaidHead(fraction[0], f"{fraction[0].replace(' ', '-')} in", tool, place, fraction.end())
        return Is.HEAD, head, head.end
    for sort, pattern in _LAST:
        match = pattern.match(text, place)
        if match:
            return sort, match, match.end()
    word = _WORD.match(text, place)
    assert word is not None
    return _sort_of(word[0]), word[0], word.end()


_FIRST = (
    (Is.TOOL, _SIZED_TOOL),
    (Is.THREAD, _INCH_THREAD),
    (Is.THREAD, _THREAD),
    (Is.LENGTH, _LENGTH),
    (Is.CLASS, _CLASS),
    (Is.HAND, _HAND),
    (Is.EACH, _EACH),
)
_LAST = ((Is.SIZES, _SIZES), (Is.NUMBER, _NUMBER), (Is.TIMES, _TIMES), (Is.AND, _AND))


def _not_a_head(text: str, place: int, end: int) -> bool:
    """``hand``, ``wing`` and ``thumb`` are a head only beside a kind: not in a left hand thread.

    Nor is ``8 in`` one in ``nut 8 in the middle``.
    """
    if text[place:end].endswith(" in") and text[end:].split()[:1] in (
        ["the"],
        ["a"],
        ["my"],
        ["its"],
        ["each"],
    ):
        return True
    if text[place:end].split(maxsplit=1)[0] not in ("hand", "wing", "thumb", "knurled"):
        return False
    before = text[:place].split()[-1:]
    after = text[end:].split()[:1]
    return not any((one,) in _kinds() for one in (*before, *after))


def _sort_of(word: str) -> Is:
    heard = table("heard")
    if word in heard["vague"]["words"]:
        return Is.VAGUE
    if word in heard["adjectives"]:
        return Is.ADJECTIVE
    if word in heard["fillers"]:
        return Is.FILLER
    return Is.OTHER if any(sign.isalnum() for sign in word) else Is.SIGN


# ---- Kinds and tools ----


@cache
def _no_kinds() -> re.Pattern[str]:
    """Things that are called like a kind and are none."""
    words = "|".join(table("heard")["no_kinds"])
    return re.compile(rf"(?<![\w-])(?:{words})(?![\w-])")


@cache
def _kinds() -> dict[tuple[str, ...], tuple[str, str, bool]]:
    """Each way to say a kind, hyphens as blanks: the kind, its word in the singular, in the plural or not."""
    found: dict[tuple[str, ...], tuple[str, str, bool]] = {}
    words = {word: word for word in kind_words()} | table("heard")["spoken_kinds"]
    known = set(words)
    for word, stands_for in words.items():
        if word in table("heard")["unspoken"]["words"]:
            continue
        kind = kind_of_joint(stands_for)
        assert kind is not None
        single = word[:-1] if word.endswith("s") and word[:-1] in known else word
        single = word[:-2] if word.endswith("es") and word[:-2] in known else single
        spelt = tuple(word.replace("-", " ").split())
        found[spelt] = (kind.name, single, single != word)
        if single == word:
            plural = f"{spelt[-1]}es" if word.endswith(("ch", "x", "sh")) else f"{spelt[-1]}s"
            found.setdefault((*spelt[:-1], plural), (kind.name, word, True))
    return found


def _kind_at(text: str, place: int) -> tuple[KindSaid, int] | None:
    """The kind that is named at a place: the longest of its words."""
    longest = 4
    ends = [match.end() for match in _WORD_OR_HALF.finditer(text, place)][:longest]
    for end in reversed(ends):
        if end < len(text) and text[end] not in " ,;:.)-":
            continue
        found = _kinds().get(tuple(text[place:end].replace("-", " ").split()))
        if found:
            return KindSaid(*found), end
    return None


_WORD_OR_HALF = re.compile(r"[^\s-]+")


def _tool_at(text: str, place: int) -> tuple[str, int] | None:
    """The tool that is named at a place, ``ring spanner``, and where it ends; a size before it is no part."""
    heard = table("heard")["tools"]
    words = [(match[0], match.end()) for match in _WORD.finditer(text, place)][:5]
    for number, (word, end) in enumerate(words):
        before = words[number - 1][0] if number else ""
        if (
            word in heard["nouns"]
            or word.removesuffix("s") in heard["nouns"]
            or before in heard["only"].get(word, ())
        ):
            return text[place:end], end
        known = word in heard["words"] or any(word in one for one in heard["only"].values())
        if not known or (word.isdigit() and not _LEGS.match(text, end)):
            return None
    return None


def stops(word: str) -> bool:
    """A word that no joint is read across."""
    return word in table("heard")["stops"]
