"""Places to work from, as people name them: which of those that are known is meant."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from sequencer.machine.heard.near import distance
from sequencer.machine.trade.tables import table

_SHORT = 5
"""Of so few letters a slip makes another word: boot, foot."""

_WORD = re.compile(r"[^\W_]+(?:\.\d+)?")


@dataclass(frozen=True)
class HeardPlace:
    """What a place means.

    Attributes:
        where: A word for where it lies: behind, under, left. Empty where it is only named.
        of: What it lies at, without the machine itself.
    """

    where: str
    of: tuple[str, ...]

    def same(self, other: HeardPlace) -> bool:
        """Both mean one place: at the bench is on the bench, and on the cab is not in the cab."""
        loose = {"", *table("heard")["places"]["within"].values()}
        near = "" in (self.where, other.where) and {self.where, other.where} <= loose
        return self.of == other.of and (self.where == other.where or (near and bool(self.of)))

    def slip_of(self, other: HeardPlace) -> bool:
        """It is the other one but for a slip of the thumb: whel arch."""
        mine, yours = " ".join(self.of), " ".join(other.of)
        long = len(mine) > _SHORT and not any(sign.isdigit() for sign in mine + yours)
        return long and self.where == other.where and distance(mine, yours, 1) == 1


UNDER = HeardPlace("under", ())
"""Below the machine."""


@cache
def meaning(text: str) -> HeardPlace:
    """What a place means, whatever its words: ``at the back of the engine`` is ``behind the engine``."""
    data = table("heard")["places"]
    words = _WORD.findall(text.casefold().replace("'s", ""))
    within = ""
    while words and words[0] in (*data["leads"], *data["spare"], *data["within"]):
        within = within or data["within"].get(words[0], "")
        words = words[1:]
    for length in (3, 2, 1):
        where = data["where"].get(" ".join(words[:length]))
        rest = words[length:]
        if where and (not rest or rest[0] in data["spare"] or words[0] in data["before"]):
            return HeardPlace(where, _names(rest))
    return HeardPlace(within, _names(words))


def _names(words: list[str]) -> tuple[str, ...]:
    data = table("heard")["places"]
    return tuple(one for one in words if one not in (*data["spare"], *data["machine"]))


def place_meant(text: str, labels: Mapping[str, str]) -> str | None:
    """The key among ``labels`` of the place that is meant; None where it is another one."""
    wanted = meaning(text)
    if wanted == HeardPlace("", ()):
        return None
    places = {key: meaning(label) for key, label in labels.items()}
    same = [key for key, one in places.items() if wanted.same(one)]
    return next(iter(same or [key for key, one in places.items() if wanted.slip_of(one)]), None)


def tells_place(text: str) -> bool:
    """It is a place, and no name of a thing: behind the engine, under it; not an under-tray."""
    data = table("heard")["places"]
    first, *rest = text.casefold().split() or [""]
    return first in (*data["leads"], *data["before"]) and (
        not rest or rest[0] in (*data["spare"], *data["where"])
    )
