"""How long a sitting takes, and how likely it ends in its time: by the draws of ``plan.hours``.

The draws are in whole milliseconds, so that a sum does not depend on its order, and each step has the same in
whatever order it is done.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from sequencer.errors import SequencerError
from sequencer.plan.hours.hours import Hours, draws, hours_in

if TYPE_CHECKING:
    from sequencer.machine.facts.learned import Learned
    from sequencer.plan.evenings.wish import SittingsWish
    from sequencer.plan.hours.hours import Draws
    from sequencer.plan.plan import Plan

_FINE = 1000
"""Parts of a second."""


class Load:
    """The time of each step of a plan, by its place in the plan.

    Raises:
        SequencerError: A sitting is too short for setting out and clearing up.

    Attributes:
        around: Seconds that go to setting out and clearing up in each sitting.
        rows: What each step takes by itself in each draw, in parts of a second.
        shared: How large what all times share is in each draw.
        needed: In so many draws a sitting has to end in time.
    """

    def __init__(self, plan: Plan, wish: SittingsWish, known: Learned | None = None) -> None:
        import numpy as np

        self.around = plan.machine.pace.set_up + plan.machine.pace.clear_up
        if min(wish.lengths) <= self.around:
            raise SequencerError(
                f"a sitting of {float(min(wish.lengths)) / 60:g} min leaves no time to work: "
                f"setting out and clearing up take {float(self.around) / 60:g} min",
                "ask for longer ones, or give your own set_up and clear_up under pace in the machine file",
            )
        bare = [replace(step, change_seconds=Fraction(0)) for step in plan.steps]
        drawn = draws(plan.machine, bare, known, plan.earlier)
        self.wish = wish
        self.rows = np.rint(drawn.steps * _FINE).astype(np.int64)
        self.shared = drawn.changes
        self.needed = math.ceil(wish.chance * self.shared.size - 1e-9)
        self.room = cache(self._room)

    def taken(self, steps: Iterable[int], changes: Fraction) -> Draws:
        """What these steps take with so many seconds of changes, in parts of a second, in each draw."""
        return self.with_changes(self.rows[list(steps)].sum(axis=0), changes)

    def with_changes(self, work: Draws, changes: Fraction) -> Draws:
        """The same where what the steps take by themselves is summed up already."""
        import numpy as np

        return work + np.rint(self.shared * (_FINE * float(changes))).astype(np.int64)

    def within(self, taken: Draws, number: int) -> bool:
        """Whether that ends within the sitting of that number with the wished chance."""
        return int((taken <= self.room(number)).sum()) >= self.needed

    def sure(self, taken: Draws) -> Fraction:
        """The length of a sitting that it ends in with the wished chance, in seconds, all included."""
        import numpy as np

        return Fraction(int(np.partition(taken, self.needed - 1)[self.needed - 1]), _FINE) + self.around

    def chance(self, taken: Draws, number: int) -> float:
        """Of its ending within the sitting of that number."""
        return float((taken <= self.room(number)).mean())

    def hours(self, taken: Draws) -> Hours:
        """How long it really takes, all included."""
        return hours_in(taken / _FINE + float(self.around))

    def _room(self, number: int) -> int:
        """What the work of the sitting of that number may take, in parts of a second."""
        return math.floor((self.wish.length(number) - self.around) * _FINE)
