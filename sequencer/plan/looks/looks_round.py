"""Which looks are worth making in one gap of a plan, and in which order of places and tools.

Looks from one place with one tool stand together, since the way there is paid once. Of every choice of such
groups the one that gains most is taken, by dynamic programming over (groups visited, the last of them):
Held and Karp, A dynamic programming approach to sequencing problems, J. SIAM 10 (1962), with a prize for
each group.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, Protocol, TypeVar

from sequencer.plan.order.setups import Changes, Setup

MOST_GROUPS = 9
"""Groups tried against each other; beyond that those that gain least, ways left out, are passed over."""


class Worthwhile(Protocol):
    """What is looked at: where from and with what, what it takes, and what it saves on average."""

    @property
    def setup(self) -> Setup:
        """Where from, and with what."""

    @property
    def seconds(self) -> Fraction:
        """What it takes, the way there left out."""

    @property
    def saves(self) -> Fraction:
        """What it saves on average."""

    @property
    def after(self) -> int:
        """The step after which it comes."""


L = TypeVar("L", bound=Worthwhile)


@dataclass(frozen=True)
class Round(Generic[L]):
    """Looks in one gap of a plan, in order.

    Attributes:
        after: The step after which they come; 0: before the first.
        looks: By place and tool, in the order that costs least; at each, what saves most first.
        change_seconds: Tool changes and ways, less what the plan's own way over this gap takes.
    """

    after: int
    looks: tuple[L, ...]
    change_seconds: Fraction

    @property
    def seconds(self) -> Fraction:
        """All that they add to the plan."""
        return self.change_seconds + sum((look.seconds for look in self.looks), Fraction(0))

    @property
    def gain(self) -> Fraction:
        """What they save on average, less what they take."""
        return sum((look.saves for look in self.looks), Fraction(0)) - self.seconds


def best_round(looks: Sequence[L], before: Setup, after: Setup, changes: Changes) -> Round[L] | None:
    """The looks between two set-ups of a plan that gain most; None where none is worth its time.

    Args:
        looks: All that could be made in this gap.
        before: The set-up in which the gap is entered.
        after: The set-up in which the plan goes on.
        changes: What changes of set-up cost, the tools to look with included.
    """
    groups = _groups(looks)
    if not groups:
        return None
    places = list(groups)
    gains = [sum((look.saves - look.seconds for look in groups[place]), Fraction(0)) for place in places]
    cost = [[changes.seconds(a, b) for b in places] for a in places]
    found: dict[tuple[int, int], tuple[Fraction, int]] = {
        (1 << at, at): (changes.seconds(before, place), -1) for at, place in enumerate(places)
    }
    for visited in range(1, 1 << len(places)):
        for last in range(len(places)):
            if (visited, last) not in found:
                continue
            walked = found[visited, last][0]
            for new in range(len(places)):
                key = (visited | 1 << new, new)
                if not visited >> new & 1 and (key not in found or walked + cost[last][new] < found[key][0]):
                    found[key] = (walked + cost[last][new], last)
    straight = changes.seconds(before, after)

    def added(end: tuple[int, int]) -> Fraction:
        return found[end][0] + changes.seconds(places[end[1]], after) - straight

    def gain(end: tuple[int, int]) -> Fraction:
        return sum((gains[at] for at in range(len(places)) if end[0] >> at & 1), Fraction(0)) - added(end)

    best = max(found, key=gain)
    if gain(best) <= 0:
        return None
    order = _walked(found, best)
    chosen = tuple(look for at in order for look in groups[places[at]])
    return Round(chosen[0].after, chosen, added(best))


def _groups(looks: Sequence[L]) -> dict[Setup, list[L]]:
    """The looks that save more than they take, by set-up; too many set-ups: those that gain most."""
    found: dict[Setup, list[L]] = {}
    for look in sorted(looks, key=lambda look: -look.saves):
        if look.saves > look.seconds:
            found.setdefault(look.setup, []).append(look)
    most = sorted(found, key=lambda at: -sum(look.saves - look.seconds for look in found[at]))[:MOST_GROUPS]
    return {setup: group for setup, group in found.items() if setup in most}


def _walked(found: dict[tuple[int, int], tuple[Fraction, int]], end: tuple[int, int]) -> list[int]:
    order = []
    visited, last = end
    while last >= 0:
        order.append(last)
        visited, last = visited & ~(1 << last), found[visited, last][1]
    return order[::-1]
