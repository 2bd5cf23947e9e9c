"""What a plan minimises: one count first, then time, as a single exact integer cost for the engine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import lcm


class Prefer(Enum):
    """What comes first in a plan; time comes second."""

    TIME = "time"
    TOOL_CHANGES = "tool-changes"
    REACH_AROUNDS = "reach-arounds"


@dataclass(frozen=True)
class Scale:
    """Exact costs as integers: ``count`` × ``weight`` + seconds × ``per_second``.

    ``weight`` is larger than any job's whole time, so the order of the integers is the lexicographic one.
    """

    per_second: int
    weight: int

    @classmethod
    def fitting(cls, seconds: Iterable[Fraction], prefer: Prefer, ceiling: Fraction) -> Scale:
        """The coarsest scale that keeps every one of ``seconds`` whole; ``ceiling`` is above any job."""
        per_second = lcm(1, *(value.denominator for value in seconds))
        weight = 0 if prefer is Prefer.TIME else int(ceiling * per_second) + 1
        return cls(per_second, weight)

    def cost(self, seconds: Fraction, count: int = 0) -> int:
        """Both parts as one integer."""
        scaled = seconds * self.per_second
        return scaled.numerator // scaled.denominator + count * self.weight

    def split(self, cost: int) -> tuple[int, Fraction]:
        """The count and the seconds in a cost."""
        if not self.weight:
            return 0, Fraction(cost, self.per_second)
        count, scaled = divmod(cost, self.weight)
        return count, Fraction(scaled, self.per_second)
