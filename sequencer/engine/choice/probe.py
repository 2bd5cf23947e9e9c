"""Trying out each undecided operation, done and left out, before the search branches on any.

Where doing it can't lead to anything better it is left out, and the other way about. What the bounds rise by
on either side tells which operations decide most: the search branches on those first.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from sequencer.engine.base.bits import members
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.selection import Partial, conclude


@dataclass
class Probe:
    """What probing tells: ``weight`` is by how much the lesser of both sides' bounds rises."""

    appraisal: Appraisal
    weight: dict[int, int] = field(default_factory=dict)

    def run(self, partial: Partial, limit: int) -> Partial | None:
        """The partial choice with what probing decides; None when nothing in it costs less than ``limit``."""
        for op in members(partial.undecided):
            if partial.undecided >> op & 1 and self._optional(partial, op):
                decided = self._decided(partial, op, limit)
                if decided is None:
                    return None
                partial = decided
        return partial

    def _optional(self, partial: Partial, op: int) -> bool:
        """Whether a chosen operation or a goal has a choice that ``op`` is one of."""
        rules = partial.rules
        return any(goal >> op & 1 for goal in rules.goals) or any(
            clause >> op & 1 for other in members(partial.chosen) for clause in rules.clauses[other]
        )

    def _decided(self, partial: Partial, op: int, limit: int) -> Partial | None:
        rules, appraise = partial.rules, self.appraisal.appraised
        done = conclude(rules, partial.chosen | 1 << op, partial.allowed)
        left = conclude(rules, partial.chosen, partial.allowed & ~(1 << op))
        with_it, without = appraise(done), appraise(left)
        if with_it is None or with_it >= limit:
            return left if without is not None and without < limit else None
        if without is None or without >= limit:
            return done
        self.weight[op] = min(with_it, without)
        return partial
