"""Which operations a choice forces, allows and forbids.

A partial choice is a set that is done for certain and a set that is not done; this module draws every
conclusion from the needs, the goals and the triggers that costs have no part in.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.gaps import Gaps
from sequencer.engine.base.job import must_ancestors, reachable
from sequencer.engine.problem import Problem


@dataclass(frozen=True)
class Rules:
    """A problem without what is done already, in sets.

    Attributes:
        clauses: For each operation, sets of which one comes earlier.
        goals: Sets of which one is done.
        triggers: (sides, then): sets, and what they call for together; an empty set is met already.
        savings: (pair, amount): both are done, or the one while the other was done already.
        orders: (a, b) among what is not done already.
        gaps: Rules about neighbouring steps.
    """

    durations: tuple[int, ...]
    clauses: tuple[tuple[int, ...], ...]
    goals: tuple[int, ...]
    triggers: tuple[tuple[tuple[int, ...], int], ...]
    savings: tuple[tuple[int, int], ...]
    orders: tuple[tuple[int, int], ...]
    open: int
    gaps: Gaps
    _known: dict[int, tuple[int, tuple[int, ...]]] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, problem: Problem) -> Rules:
        """The rules of ``problem``."""
        done = problem.done
        every = mask_of(range(len(problem.durations)))

        def unmet(clauses: Iterable[tuple[int, ...]]) -> tuple[int, ...]:
            return tuple(dict.fromkeys(mask_of(c) for c in clauses if not any(op in done for op in c)))

        def side(ops: tuple[int, ...]) -> int:
            return 0 if any(op in done for op in ops) else mask_of(ops)

        return cls(
            durations=problem.durations,
            clauses=tuple(unmet(clauses) for clauses in problem.needs),
            goals=unmet(problem.goals),
            triggers=tuple(
                (tuple(side(ops) for ops in (t.left, t.right, *t.also)), t.then)
                for t in problem.triggers
                if t.then not in done and all((t.left, t.right, *t.also))
            ),
            savings=tuple(
                (mask_of({s.first, s.second} - done), s.amount)
                for s in problem.savings
                if s.amount and not {s.first, s.second} <= done
            ),
            orders=tuple((a, b) for a, b in problem.orders if not {a, b} & done),
            open=every & ~mask_of(done),
            gaps=Gaps.of(problem),
        )

    def fired(self, chosen: int) -> int:
        """What the triggers call for."""
        return mask_of(
            then for sides, then in self.triggers if all(not side or side & chosen for side in sides)
        )

    def called(self, allowed: int) -> int:
        """Of ``allowed``, what the goals call for, directly or through what they call for."""
        found = 0
        fresh = (mask_of(op for goal in self.goals for op in members(goal)) | self.fired(0)) & allowed
        while fresh:
            found |= fresh
            following = self.fired(found)
            for op in members(fresh):
                for clause in self.clauses[op]:
                    following |= clause
            fresh = following & allowed & ~found
        return found

    def concluded(self, allowed: int) -> tuple[int, tuple[int, ...]]:
        """What of ``allowed`` can be done and is called for, and what comes before each; remembered."""
        found = self._known.get(allowed)
        if found is None:
            left, shrunk = allowed, True
            while shrunk:
                kept = reachable(self.clauses, left)
                kept &= self.called(kept)
                shrunk, left = kept != left, kept
            found = self._known.get(left)
            if found is None:
                found = self._known[left] = left, must_ancestors(self.clauses, left)
            self._known[allowed] = found
        return found

    def handling(self, chosen: int) -> int:
        """Durations less savings."""
        spent = sum(self.durations[op] for op in members(chosen))
        return spent - sum(amount for pair, amount in self.savings if not pair & ~chosen)

    def net(self, allowed: int) -> list[int]:
        """For each operation, what doing it adds to the handling at the least; may be negative."""
        net = list(self.durations)
        for pair, amount in self.savings:
            if not pair & ~allowed:
                for op in members(pair):
                    net[op] -= amount
        return net


@dataclass(frozen=True)
class Partial:
    """A partial choice with all that follows from it.

    Attributes:
        chosen: Done for certain.
        allowed: Chosen, or still undecided.
        before: For each allowed operation, what is done before it whatever else is chosen.
    """

    rules: Rules
    chosen: int
    allowed: int
    before: tuple[int, ...]

    @property
    def undecided(self) -> int:
        """Neither chosen nor forbidden."""
        return self.allowed & ~self.chosen

    def open_clauses(self) -> list[tuple[int, int]]:
        """(operation or −1 for a goal, clause) that no chosen operation meets yet."""
        found = [(-1, goal) for goal in self.rules.goals if not goal & self.chosen]
        found += [
            (op, clause)
            for op in members(self.chosen)
            for clause in self.rules.clauses[op]
            if not clause & self.chosen
        ]
        return found


def conclude(rules: Rules, chosen: int, allowed: int) -> Partial | None:
    """All that follows from doing ``chosen`` and nothing outside ``allowed``; None when it can't be."""
    allowed, before = rules.concluded(allowed)
    if chosen & ~allowed:
        return None
    grown = _forced(rules, chosen, allowed, before)
    if grown is None:
        return None
    return Partial(rules, grown, allowed, before)


def _forced(rules: Rules, chosen: int, allowed: int, before: tuple[int, ...]) -> int | None:
    for goal in rules.goals:
        common = -1
        for op in members(goal & allowed):
            common &= before[op] | 1 << op
        if common < 0:
            return None
        chosen |= common
    while True:
        grown = chosen | rules.fired(chosen)
        if grown & ~allowed:
            return None
        for op in members(grown):
            grown |= before[op]
        if grown == chosen:
            return chosen
        chosen = grown
