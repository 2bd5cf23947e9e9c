"""Rules about the gap between two neighbouring steps, as sets: what may come next, what is broken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from sequencer.engine.base.bits import mask_of
from sequencer.engine.problem import Problem


@dataclass(frozen=True)
class Gap:
    """A ``While`` or a ``Stay``: active once all of ``after`` are done, as long as none of ``until`` is.

    Attributes:
        following: What may come next while it is active; for a ``Stay``, after a step of ``leaving``.
        leaving: Set-ups as bits; None for a ``While``.
        lifts: Of a ``While``, whether no ``Stay`` binds as long as it is active.
    """

    after: int
    until: int
    following: int
    leaving: int | None = None
    lifts: bool = True

    def active(self, done: int) -> bool:
        """Whether the rule is active once ``done`` is."""
        return not self.after & ~done and not self.until & done


@dataclass(frozen=True)
class Gaps:
    """The rules of one job.

    Attributes:
        setups: Set-up of each operation.
        whiles: Those that bind whatever comes before.
        stays: Those that bind where no ``While`` that lifts them is active.
    """

    setups: tuple[int, ...]
    whiles: tuple[Gap, ...] = ()
    stays: tuple[Gap, ...] = ()

    @classmethod
    def of(cls, problem: Problem, number: Mapping[int, int] | None = None) -> Gaps:
        """The rules of ``problem`` that can become active; ``number``: other numbers of what is open."""
        if not (problem.whiles or problem.stays):
            return cls(problem.setups)
        if number is None:
            number = {op: op for op in range(len(problem.durations)) if op not in problem.done}
        setups = [0] * (max(number.values(), default=-1) + 1)
        for op, index in number.items():
            setups[index] = problem.setups[op]
        every = mask_of(number.values())

        def numbers(ops: Sequence[int] | frozenset[int]) -> int:
            return mask_of(number[op] for op in ops if op in number)

        whiles = dict.fromkeys(
            Gap(numbers(w.after), numbers(w.until), numbers(w.only) | numbers(w.until), lifts=w.lifts)
            for w in problem.whiles
            if not set(w.until) & problem.done
        )
        stays = dict.fromkeys(
            Gap(
                numbers(s.after),
                numbers(s.until),
                every & ~mask_of(index for op, index in number.items() if problem.setups[op] in s.entering),
                mask_of(s.leaving),
            )
            for s in problem.stays
            if not set(s.until) & problem.done
        )
        return cls(tuple(setups), tuple(whiles), tuple(stays))

    def __bool__(self) -> bool:
        return bool(self.whiles or self.stays)

    @cached_property
    def leaving(self) -> Mapping[int, tuple[Gap, ...]]:
        """For each set-up the stays that are about leaving it."""
        return {
            setup: tuple(stay for stay in self.stays if (stay.leaving or 0) >> setup & 1)
            for setup in set(self.setups)
        }

    def following(self, done: int, present: int) -> int:
        """What may come next, by these rules; ``present`` is the last step's set-up, −1 for none."""
        following, lifted = -1, False
        for rule in self.whiles:
            if not rule.after & ~done and not rule.until & done:
                following &= rule.following
                lifted |= rule.lifts
        if not lifted and present >= 0:
            for rule in self.leaving[present]:
                if not rule.after & ~done and not rule.until & done:
                    following &= rule.following
        return following

    def broken(self, order: Sequence[int]) -> list[tuple[Gap, int]]:
        """The rules that an order breaks, each with the step that it forbids."""
        broken: list[tuple[Gap, int]] = []
        done, present = 0, -1
        for op in order:
            binding = [rule for rule in self.whiles if rule.active(done)]
            if not any(rule.lifts for rule in binding) and present >= 0:
                binding += [rule for rule in self.leaving[present] if rule.active(done)]
            broken += [(rule, op) for rule in binding if not rule.following >> op & 1]
            done, present = done | 1 << op, self.setups[op]
        return broken
