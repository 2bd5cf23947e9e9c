"""Improving a timetable by moving operations to other times and other people.

A timetable is told by a key for each operation (when it would like to be) and the people it would like; what
is ready with the least key comes next, and goes to those people unless others start it much sooner. A move
shifts the keys of a few operations, alone or with what the same person does after them in the same
set-up, and may hand them to somebody else. Moves that make the whole no longer are kept: a walk over
plateaus, with now and then a small step back.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from sequencer.engine.crew.crew_problem import CrewProblem, Timetable, Turn
from sequencer.engine.crew.floor import Floor

SEED = 1

BACK, BACK_SHARE = 0.05, 0.005
"""How often a step back is allowed, and how large a share of the length it may be."""

_LOYALTY = 3.0
"""How much sooner others must start an operation to get it, in mean durations."""


class Walk:
    """A random walk from one timetable to the next; the same steps every time."""

    def __init__(self, problem: CrewProblem, begin: Timetable) -> None:
        self.problem = problem
        self.now = begin
        self.random = random.Random(SEED)  # noqa: S311 - no secret
        self.typical = problem.work / max(1, len(problem.durations))

    def step(self) -> Timetable | None:
        """Try one move; the timetable if it was kept."""
        found = self._moved()
        room = 1 + BACK_SHARE if self.random.random() < BACK else 1.0
        if found is None or found.length > self.now.length * room:
            return None
        self.now = found
        return found

    def _moved(self) -> Timetable | None:
        rng = self.random
        turns = self.now.turns
        keys = {turn.op: float(turn.start) for turn in turns}
        team = {turn.op: turn.people for turn in turns}
        for _ in range(rng.choice((1, 1, 2, 3, 5))):
            group = self._group(rng.randrange(len(turns)))
            shift = rng.gauss(0, 1) * rng.choice((1, 4, 10)) * self.typical
            others = rng.random() < 0.5
            for turn in group:
                keys[turn.op] += shift
                if others and len(turn.people) == 1:
                    people = [p for p in range(self.problem.people) if p not in turn.people]
                    team[turn.op] = (rng.choice(people),) if people else turn.people
        if rng.random() < 0.3:
            team = {}
        return by_keys(self.problem, keys, team, rng.choice((0.0, 0.3, 0.6)), _LOYALTY * self.typical)

    def _group(self, first: int) -> Sequence[Turn]:
        """A turn, half the time with the rest of its run."""
        turns = self.now.turns
        group = [turns[first]]
        if self.random.random() < 0.5:
            for turn in turns[first + 1 :]:
                if turn.people == group[0].people:
                    if self.problem.roles[turn.op] != self.problem.roles[group[0].op]:
                        break
                    group.append(turn)
        return group


def by_keys(
    problem: CrewProblem,
    keys: Mapping[int, float],
    team: Mapping[int, tuple[int, ...]],
    away: float,
    loyalty: float,
) -> Timetable | None:
    """The timetable that keys and wishes tell; None if nobody can go on."""
    floor = Floor(problem)
    waiting = sorted(keys, key=lambda op: (keys[op], op))
    while waiting:
        op = next(op for op in waiting if floor.ready(op) is not None)
        best: tuple[float, int, tuple[int, ...]] | None = None
        for people in floor.teams(op):
            start = floor.earliest(op, people)
            if start is not None:
                lost = sum(start - floor.free[person] for person in people)
                strange = 0.0 if team.get(op, people) == people else loyalty
                score = start + away * lost + strange
                if best is None or score < best[0]:
                    best = (score, start, people)
        if best is None:
            return None
        floor.put(op, best[2], best[1])
        waiting.remove(op)
    return floor.timetable()
