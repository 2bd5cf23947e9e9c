"""Stop rules: small callables that say when enough has been done."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from sequencer.engine.problem import Limits

LOOK = 255
"""The clock is looked at when the count of states passes a multiple of this plus one (a power of two)."""

MOVES = 4
"""States that memory has to hold for each that a wave keeps: its moves, before doubles are dropped."""


@dataclass
class Budget:
    """Counts states over a whole question and says when to stop.

    Attributes:
        limits: What was asked for.
        states: Search states expanded so far.
        choices: Choices of operations examined so far.
    """

    limits: Limits
    states: int = 0
    choices: int = 0
    began: float = field(default_factory=lambda: time.monotonic())  # noqa: PLW0108 - so that a test can turn it
    over: bool = False

    def spend(self, states: int = 1) -> bool:
        """Count states; True when a limit is reached."""
        before = self.states
        self.states += states
        if not self.over:
            if self.limits.states is not None and self.states >= self.limits.states:
                self.over = True
            elif (before | LOOK) < self.states or states > LOOK:
                return self.late
        return self.over

    @property
    def widest(self) -> int:
        """States of a wave that memory allows to keep."""
        return max(1, self.limits.memory_states // MOVES)

    @property
    def late(self) -> bool:
        """Whether the wall-clock limit has passed; then the budget is over as well."""
        if self.limits.seconds is not None and self.elapsed >= self.limits.seconds:
            self.over = True
            return True
        return False

    @property
    def elapsed(self) -> float:
        """Seconds since the question was asked."""
        return time.monotonic() - self.began


def close_enough(cost: int, bound: int, gap: float) -> bool:
    """Whether (cost − bound) / cost is at most ``gap``."""
    return cost - bound <= gap * cost
