"""What the words before a kind make of it: what holds a part, or where and how, or another thing."""

from __future__ import annotations

from sequencer.machine.heard.lexemes import KindSaid
from sequencer.machine.trade.tables import table

_THINGS = ("seal", "hose", "cable", "spring")
"""Kinds that come off as things by themselves."""

_STAYING, _LEFT = ("on", "by", "with", "leaving"), ("off", "from", "of")
"""Before ``its``: words for what it stays on, and for the one thing that it came away from."""


def is_elsewhere(kind: KindSaid, article: str, before: str, *, naming: bool) -> bool:
    """``aside on its hose``, ``off the terminals``: how and where; ``screen and the gasket``: two things.

    Args:
        kind: The kind that is named, of which nothing was counted or sized.
        article: The word before it.
        before: The one before that.
        naming: The clause may name a part.
    """
    if article in ("its", "their"):
        return before in _STAYING or (before in _LEFT and not kind.many)
    if article == "the" and naming and before in ("and", "&"):
        return kind.name in _THINGS
    placed = article in ("each", "both", "either") or (naming and article == "the")
    return placed and before in table("heard")["where"]


def is_a_thing(kind: KindSaid) -> bool:
    """Behind a word that is none of a joint's it may as well be another part: ``then the oil seal``."""
    return kind.name in _THINGS and not kind.many


def several(tool: str) -> bool:
    """``screwdrivers``: a number before it counts them."""
    return tool.endswith("s") and tool.removesuffix("s") in table("heard")["tools"]["nouns"]
