"""What need not be tried under rules: operations that are done as soon as they can be.

An operation is *safe* when nothing is lost by doing it as soon as it can be done without moving: of a best
order in which it comes later, the one in which it comes now is as good and keeps the rules as well. Doing it
sooner may call a stay into being that waits for it; so it is safe where no such stay can bind before it would
have been done anyway. What a ``While`` waits for or ends with is never safe.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sequencer.engine.base.bits import members
from sequencer.engine.gaps.turn import firm, of_setups

if TYPE_CHECKING:
    from sequencer.engine.base.gaps import Gap, Gaps
    from sequencer.engine.base.job import Job


@dataclass(frozen=True)
class StayRule:
    """A stay, with its set-ups told by their operations."""

    after: int
    until: int
    leaving: int
    entering: int

    @classmethod
    def of(cls, job: Job, stay: Gap) -> StayRule:
        """The same as sets of operations of ``job``."""
        return cls(stay.after, stay.until, of_setups(job, stay.leaving or 0), job.all & ~stay.following)

    def tells(self, op: int, before: int) -> bool:
        """Whether it may be that going past ``op`` breaks it, and going by way of ``op`` does not."""
        mine = self.after | self.until | before | self.leaving | self.entering
        return not mine >> op & 1


class Safety:
    """What is safe, and what is never passed by: ``apart``."""

    def __init__(self, job: Job, gaps: Gaps) -> None:
        self.job = job
        self._rules = rules = [StayRule.of(job, stay) for stay in gaps.stays]
        self._firm = {StayRule.of(job, stay) for stay in firm(job, gaps)}
        before = {rule: self._before(rule) for rule in rules}
        self.apart = 0
        for gap in gaps.whiles:
            self.apart |= gap.after | gap.until
        for op in range(job.size):
            self.apart |= any(rule.tells(op, before[rule]) for rule in rules) << op
        self.own: dict[int, list[StayRule]] = {}
        for rule in rules:
            for op in members(rule.until):
                if rule.until == 1 << op and not rule.after & ~job.ancestors[op]:
                    self.own.setdefault(op, []).append(rule)
        self.safe = 0
        for op in range(job.size):
            self.safe |= self._is_safe(op) << op

    def _before(self, rule: StayRule) -> int:
        before = 0
        for op in members(rule.after):
            before |= self.job.ancestors[op]
        return before

    def _is_safe(self, op: int) -> bool:
        """See the module; what comes until ``op`` would have been done is confined by rules of its own."""
        here = self.job.in_setup[self.job.setups[op]]
        if self.apart >> op & 1 or any(rule.leaving & here and rule.entering & here for rule in self._rules):
            return False
        own = self.own.get(op, [])
        near = self.job.all
        for rule in own:
            if rule.leaving >> op & 1 and rule in self._firm:
                far = self.job.all & ~self.job.ancestors[op] & ~(1 << op)
                near &= -1 if far & ~(rule.leaving | rule.entering) else rule.leaving
        for rule in self._rules:
            leaving, entering = rule.leaving & near, rule.entering & near
            if not rule.after >> op & 1 or not leaving:
                continue
            if not rule.leaving >> op & 1:
                return False
            if entering and not any(
                not leaving & ~mine.leaving and not entering & ~mine.entering for mine in own
            ):
                return False
        return True
