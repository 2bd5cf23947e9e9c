"""The rules of good practice in the middle of a job, read anew: what can be kept from where it stands.

What is done is done, by whatever order; only what is left can keep to a rule.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

from tests.support.plain_machine import Machine
from tests.support.practice_back import WayBack
from tests.support.practice_in import WayIn
from tests.support.practice_reference import Done, Left, May, Reference, Sentence, sent

STAYING = ("hold", "start", "snug", "crack")
"""Rules that send nobody away from what hangs, is loose or only snug."""


def _or_one_of(names: Collection[str], may: May) -> May:
    return lambda done, last, name: name in names or may(done, last, name)


class Underway(Reference):
    """What is left of one way; to be mixed into either."""

    gone: tuple[str, ...]
    """What is done of it, in its order."""
    from_the_start: Reference | None
    """The same way with nothing done: what waits for what is asked of the whole job.

    None where something was done that is no step of it by now.
    """

    def possible(self, done: Done, name: str) -> bool:
        return name in self.gone or super().possible(done, name)  # type: ignore[safe-super] # either way has it

    @cached_property
    def alive(self) -> set[Done]:
        begun = [frozenset(self.gone[:number]) for number in range(len(self.gone))]
        layers: list[set[Done]] = [{frozenset(self.gone)}]
        for _ in self.chosen - frozenset(self.gone):
            layers.append({done | {name} for done in layers[-1] for name in self.free(done)})
        found = layers[-1]
        for layer in reversed(layers[:-1]):
            found = found | {done for done in layer if any(done | {n} in found for n in self.free(done))}
        return found | set(begun)

    @cached_property
    def _behind(self) -> dict[str, set[str]]:
        """As for the whole job, where it was begun as the file says; what is done is not before the rest."""
        whole = self.from_the_start
        begun = (frozenset(self.gone[:number]) for number in range(len(self.gone) + 1))
        return (whole if whole and whole.alive.issuperset(begun) else super())._behind

    def least(self, rules: Sequence[Sentence]) -> Fraction | None:
        """Nought if an order of what is left keeps these rules; None if none does."""
        staying = [rule for rule in rules if rule.stays]
        others = [rule for rule in rules if not rule.stays]
        layer: set[tuple[Done, str | None]] = {(frozenset(self.gone), self.gone[-1] if self.gone else None)}
        for _ in self.chosen - frozenset(self.gone):
            following: set[tuple[Done, str | None]] = set()
            for done, last in layer:
                asked = others if sent(others, done) else (*others, *staying)
                for name in self.free(done):
                    now = done | {name}
                    able = now in self.alive and self.follows(last, name)
                    if able and all(rule.may(done, last, self.meant(name)) for rule in asked):
                        following.add((now, name))
            layer = following
        return Fraction(0) if layer else None

    def sentences(self) -> Iterator[Sentence | Left]:
        """The rules; a run that has begun lets in what its end still waits for, and the other runs' work."""
        told: list[Sentence | Left] = list(super().sentences())  # type: ignore[safe-super] # either way has them
        now, last = frozenset(self.gone), self.gone[-1] if self.gone else None
        work: dict[int, frozenset[str]] = {}
        for number, one in enumerate(told):
            if isinstance(one, Sentence) and one.sends is not None and one.sends(now):
                ends = {n for n in self.chosen - now if one.may(now, last, self.meant(n))}
                work[number] = frozenset(ends).union(*(self._behind[n] for n in ends)) - now
        every = frozenset[str]().union(*work.values())
        for number, one in enumerate(told):
            if isinstance(one, Sentence) and number in work:
                yield replace(one, may=_or_one_of(every if len(work) > 1 else work[number], one.may))
            else:
                yield one

    def broken(self, left: Sequence[str], named: Collection[tuple[str, str]]) -> list[str] | None:
        """Where what is left breaks a rule that it could have kept, and does not name it.

        None where no order is left by the file: something was done against what it says since.
        """
        if self.chosen not in self.alive:
            return None
        kept, _, _ = self.kept()
        own = {f"{rule} {subject}" for rule, subject in ((one.rule, one.subject) for one in kept)}
        own -= {f"{rule} {subject}" for rule, subject in named}
        before = len(self.breaches(kept, self.gone))
        found = self.breaches(kept, [*self.gone, *left])[before:]
        return [one for one in found if one.startswith(STAYING) and one.partition(": ")[0] in own]


class InUnderway(Underway, WayIn):
    """What is left of a way in."""

    def __init__(self, machine: Machine, gone: Sequence[str], left: Collection[str]) -> None:
        self.gone = tuple(gone)
        super().__init__(machine, {*gone, *left})
        self.from_the_start = WayIn(machine, self.chosen)


class BackUnderway(Underway, WayBack):
    """What is left of a way back from ``way_in``."""

    def __init__(
        self, machine: Machine, way_in: Sequence[str], gone: Sequence[str], left: Collection[str]
    ) -> None:
        self.gone = tuple(gone)
        super().__init__(machine, way_in, {*gone, *left})
        known = self.after.earlier.keys() >= {*self.gone}
        self.from_the_start = WayBack(machine, way_in, self.chosen) if known else None
