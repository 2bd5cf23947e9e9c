"""Nut factor K: how much of a torque the friction eats, by the condition of thread and head."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.torque_tables import by_word, table


@dataclass(frozen=True)
class Friction:
    """Nut factor K (no unit) of T = K·F·d, with the range that it is found in.

    Attributes:
        name: The condition: ``dry``, ``oiled``, ``moly``, ``plated``, or ``unknown`` where nothing is said.
        k: The usual value.
        low: Slippery end: the most preload for a torque.
        high: Rough end: the least preload for a torque.
        source: Where the values come from.
    """

    name: str
    k: float
    low: float
    high: float
    source: str

    @property
    def told(self) -> bool:
        """Whether anyone said what the condition is."""
        return self.name != "unknown"


def friction_of(condition: str | None) -> Friction:
    """The nut factor for ``condition``; ``None`` gives the wide range of a bolt of which nothing is known.

    A plain number such as ``0.15`` is taken as K itself, with the usual scatter of ±30 %.

    Raises:
        FastenerError: No such condition, or a number outside 0.05 to 0.5.
    """
    if condition is None:
        return _entry("unknown")
    word = " ".join(condition.split()).casefold()
    if (number := _number(word)) is not None:
        if not 0.05 <= number <= 0.5:
            raise FastenerError(
                f"a nut factor K of {condition} is not one of a screw joint", "K lies from 0.05 to 0.5"
            )
        return Friction(
            f"K {number:g}", number, 0.7 * number, 1.3 * number, "given as a number; scatter 30 %"
        )
    words = by_word("friction")
    if word not in words:
        near = get_close_matches(word, words, n=1)
        hint = f"did you mean {words[near[0]]}? " if near else ""
        raise FastenerError(
            f"'{condition}' is no friction that I know", f"{hint}write one of {', '.join(_names())}"
        )
    return _entry(words[word])


def _number(word: str) -> float | None:
    try:
        return float(word)
    except ValueError:
        return None


def _names() -> list[str]:
    return [name for name in table("friction") if name != "unknown"]


def _entry(name: str) -> Friction:
    data = table("friction")[name]
    return Friction(name, data["k"], data["low"], data["high"], data["source"])
