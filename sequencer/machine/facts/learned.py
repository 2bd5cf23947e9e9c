"""What a person's records say of how long work takes them: normal logarithms of factors on a file's times."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

COMMON = ""
"""The name of what all work has in common: the person, the machine, the day."""

RANGED = "in a range"
"""The name of what times that a file gives as ranges have in common beside that."""

NEAR = Fraction(1, 100)
"""Times are set to a hundredth of those of the file."""


class Rate(NamedTuple):
    """How often, or how much, of what was expected: what was counted and what was expected add up."""

    counted: float = 0.0
    expected: float = 0.0

    @property
    def mean(self) -> float:
        """Counted by expected."""
        return self.counted / self.expected

    def having(self, more: Rate) -> Rate:
        """With so much more on record."""
        return Rate(self.counted + more.counted, self.expected + more.expected)


NOTHING = Rate()
"""On record."""


@dataclass(frozen=True)
class Learned:
    """Factors on the times of a file, as logarithms that are normal together.

    Attributes:
        names: ``COMMON``, ``RANGED``, and kinds of joint or of operation, of each what it adds to the common.
        means: Of the logarithm of each.
        covariance: Of each with each.
        person: Whose; ``jobs``: from so many records.
        beside: What the machine itself is told to add to the person, a logarithm; 0 where nothing is known.
        trouble: How often fasteners make trouble there, by how often they usually do: a gamma distribution,
            ``counted`` its shape. None where nothing is known.
        luck: The variance of what is each time's own, by what is usual. None where nothing is known.
        scaled: The times of the machine that carries this have been multiplied by ``factor``.
    """

    names: tuple[str, ...]
    means: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    person: str = ""
    jobs: int = 0
    beside: float = 0.0
    trouble: Rate | None = None
    luck: Rate | None = None
    scaled: bool = False

    def mean(self, name: str) -> float:
        """Of the logarithm of one name; 0 for one of which nothing is known."""
        return self.means[self.names.index(name)] if name in self.names else 0.0

    def deviation(self, name: str) -> float:
        """Of the logarithm of a name that is among the names."""
        at = self.names.index(name)
        return math.sqrt(self.covariance[at][at])

    def middle(self, kind: str = COMMON, *, ranged: bool = False) -> float:
        """The logarithm of how many times as long as in the file a kind of work takes, in the middle."""
        own = self.mean(kind) if kind != COMMON else 0.0
        return self.mean(COMMON) + own + (self.mean(RANGED) if ranged else 0.0)

    def factor(self, kind: str = COMMON, *, ranged: bool = False) -> Fraction:
        """How many times as long as in the file a kind of work takes, in the middle."""
        return max(round(math.exp(self.middle(kind, ranged=ranged)) / NEAR), 1) * NEAR

    def with_kinds(self, kinds: tuple[str, ...], deviation: float) -> Learned:
        """With kinds of which nothing is known, each by itself; those that are known stay."""
        new = tuple(kind for kind in dict.fromkeys(kinds) if kind not in self.names)
        if not new:
            return self
        old, more = len(self.names), len(new)
        rows = [(*row, *(0.0,) * more) for row in self.covariance]
        rows += [
            tuple(deviation**2 if at == old + number else 0.0 for at in range(old + more))
            for number in range(more)
        ]
        return replace(
            self,
            names=(*self.names, *new),
            means=(*self.means, *(0.0,) * more),
            covariance=tuple(rows),
        )
