"""What the words before a kind make of it: what holds a part, or where and how, or another thing."""

from __future__ import annotations

import re

from sequencer.machine.heard.lexemes import Is, KindSaid, Lexeme, stops
from sequencer.machine.trade.tables import table

_THINGS = ("seal", "hose", "cable", "spring")
"""Kinds that come off as things by themselves."""

_STAYING, _LEFT = ("on", "by", "with", "leaving"), ("off", "from", "of")
"""Before ``its``: words for what it stays on, and for the one thing that it came away from."""


def lead(said: list[Lexeme], place: int) -> tuple[str, str]:
    """The two words before a kind, of a thing those before what tells it from others: at the lower hose."""
    if place > _LEAD and said[place - 1].sort is Is.ADJECTIVE and is_a_thing(said[place].value):
        place -= 1
    before = [one.text for one in said[max(place - 2, 0) : place]]
    return (before[0] if len(before) > 1 else "", before[-1] if before else "")


_LEAD = 2


def is_elsewhere(kind: KindSaid, article: str, before: str, *, naming: bool) -> bool:
    """``aside on its hose``, ``off the terminals``: how and where; ``screen and the gasket``: two things.

    Args:
        kind: The kind that is named, of which nothing was counted or sized.
        article: The word before it.
        before: The one before that.
        naming: The clause may name a part.
    """
    if naming and article in ("from", "to", "at", "into", "near", "behind", "under") and not kind.many:
        return True
    if article in ("its", "their"):
        return before in _STAYING or (before in _LEFT and not kind.many)
    if article == "the" and naming and before in ("and", "&"):
        return kind.name in _THINGS
    placed = article in ("each", "both", "either") or (article == "the" and (naming or is_a_thing(kind)))
    return placed and before in table("heard")["where"]


def is_a_thing(kind: KindSaid) -> bool:
    """Behind a word that is none of a joint's it may as well be another part: ``then the oil seal``."""
    return kind.name in _THINGS and not kind.many


_JOINTS = (Is.KIND, Is.FAMILY, Is.HEAD, Is.THREAD, Is.NUMBER, Is.ADJECTIVE)


def is_listed(said: list[Lexeme], place: int) -> bool:
    """``the speed sensor, 1 bolt 8``: before a counted joint, a kind that is a part as well is one."""
    sorts = [one.sort for one in said[place + 1 : place + 3]]
    counted = len(sorts) > 1 and sorts[0] is Is.NUMBER and sorts[1] in _JOINTS
    return counted and said[place].value.word in table("heard")["parts_too"]


def is_placed(said: list[Lexeme], place: int) -> bool:
    """``nuts 10 on the terminals``: behind the number stands where the thing before it sits."""
    return any(one.text in ("on", "at", "in") for one in said[place + 1 : place + 2])


def is_owned(said: list[Lexeme], place: int) -> bool:
    """``nut on the prop``: what it holds stands behind it."""
    behind = " ".join(one.text for one in said[place + 1 : place + 4])
    return re.match(r"(?:out |off )?(?:on|of|from|off) (?:the|my|its)", behind) is not None


def is_size(said: list[Lexeme], place: int) -> bool:
    """``bolt 10 x 2``: the size, where the number behind the sign is the smaller one."""
    beyond = said[place + 2] if place + 2 < len(said) else None
    return beyond is not None and beyond.sort is Is.NUMBER and float(beyond.text) < float(said[place].text)


def counts_next(said: list[Lexeme], place: int) -> bool:
    """Behind the head or sort of head that follows stands a kind, which the number counts."""
    kinds = [other for other in said[place + 1 : place + 5] if other.sort in (Is.KIND, Is.NUMBER)]
    return bool(kinds) and kinds[0].sort is Is.KIND


_LABEL = 2
"""Words that tell a joint from others: valve cover nut."""


def label_before(said: list[Lexeme], place: int) -> list[Lexeme]:
    """The words that a clause begins with, straight before a kind: axle of an axle nut."""
    first = place
    while first and said[first - 1].sort in (Is.OTHER, Is.ADJECTIVE) and said[first - 1].text.isalpha():
        first -= 1
    begins = first == 0 or said[first - 1].sort in (Is.AND, Is.SIGN)
    words = said[first:place]
    fits = begins and len(words) <= _LABEL and not any(stops(word.text) for word in words)
    return words if fits else []


def several(tool: str) -> bool:
    """``screwdrivers``: a number before it counts them."""
    return tool.endswith("s") and tool.removesuffix("s") in table("heard")["tools"]["nouns"]


_HEADLESS = ("rivet", "clip", "tie", "pin", "hook", "spring", "circlip", "strap")
_FEW, _SMALLEST_SCREW = 5, 7


def counts_behind(kind: KindSaid | None, number: str) -> bool:
    """``rivets 12``, ``clamp one``, ``screws 6``: what no tool fits, or none so small, is counted."""
    if kind is None or not number.isdecimal():
        return False
    headless = kind.name in _HEADLESS and (kind.many or int(number) < _FEW)
    return headless or (kind.name == "screw" and kind.many and int(number) < _SMALLEST_SCREW)
