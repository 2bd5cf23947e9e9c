"""Kinds of joint, and the times that hold where a file gives none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache

from sequencer.machine.trade.tables import table
from sequencer.quantities import parse_seconds, parse_torque
from sequencer.torque.guard.use import FASTENER, Use

ANY_KIND = "fastener"
"""What a joint without a kind is taken for, and one of a kind that the table lacks."""


class Holds(Enum):
    """How a joint holds its part, as the rules of good practice tell joints apart."""

    LOCATING = "locating"
    BEARING = "bearing"
    RETAINING = "retaining"
    SLIGHT = "slight"


@dataclass(frozen=True)
class JointKind:
    """A kind of joint.

    Attributes:
        name: Its name in the table.
        seconds: Undoing one.
        by_hand: It usually needs no tool.
        headed: Its tool goes over a head; what undoes another one is a tool by name.
        loose: Undoing it leaves something loose to keep.
        spanner: A socket can't go over it.
        use: What its torque is for.
        holds: How it holds its part.
        opens_line: Undoing it leaves an open end of a line.
        bears: It can carry its part by itself.
        figure: Its torque is asked for as a rule: ``yes``; ``sized``: where its thread is known; else empty.
        spread: How its time spreads: the longer end by the shorter, one time in ten beyond each.
        trouble: How often one is seized, rounded or breaks, where rust is light.
    """

    name: str
    seconds: Fraction
    by_hand: bool = False
    spanner: bool = False
    use: Use = FASTENER
    holds: Holds = Holds.SLIGHT
    opens_line: bool = False
    bears: bool = False
    figure: str = ""
    spread: float = 3.5
    trouble: float = 0.0
    headed: bool = True
    loose: bool = True


@cache
def _by_word() -> dict[str, JointKind]:
    words: dict[str, JointKind] = {}
    for name, data in table("kinds").items():
        most = parse_torque(data["most"]).newton_metres if "most" in data else None
        use = Use(name, data.get("seals", False), data.get("nut", False), most)
        kind = JointKind(
            name,
            Fraction(data["seconds"]),
            data.get("hand", False),
            data.get("spanner", False),
            use,
            Holds(data.get("holds", "slight")),
            opens_line=data.get("opens", False),
            bears=data.get("bears", False),
            figure=data.get("figure", ""),
            spread=float(data["spread"]),
            trouble=float(data.get("trouble", 0)),
            headed=data.get("head", True),
            loose=data.get("loose", True),
        )
        words |= dict.fromkeys((name, *data["words"]), kind)
    return words


def kind_of_joint(word: str | None) -> JointKind | None:
    """The kind that a file's word means, the general one for no word; ``None`` if the table lacks it."""
    return _by_word().get(" ".join((word or ANY_KIND).casefold().split()))


def holding(kinds: Mapping[str, str | None]) -> list[str]:
    """Of joints with their kinds, those that bear or locate their part."""
    known = {name: kind_of_joint(word) for name, word in kinds.items()}
    return [name for name, kind in known.items() if kind and kind.holds in (Holds.BEARING, Holds.LOCATING)]


def kind_words() -> list[str]:
    """Every word for a kind."""
    return list(_by_word())


@cache
def default_seconds(what: str) -> Fraction:
    """The time of ``remove``, ``loosen``, ``move_aside``, ``task``, ``drain``, ``fill`` by default."""
    return parse_seconds(table("defaults")[what])
