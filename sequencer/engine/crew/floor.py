"""The shop floor while a timetable grows: when each person and each piece is free, and who holds what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

from sequencer.engine.crew.crew_problem import CrewProblem, Timetable, Turn

NEVER_USED = -(10**12)


@dataclass
class _Piece:
    free: int = NEVER_USED
    holder: int | None = None


class Floor:
    """Takes operations one after the other, each as early as it can start after those before it.

    Within a resource the pieces are used in the order in which operations come here: none is slipped in
    before an earlier one. A piece that an idle person has no use for next is taken over from
    them; then that person can't go on with it.
    """

    def __init__(self, problem: CrewProblem) -> None:
        self.problem = problem
        self.free = [0] * problem.people
        self.setup: list[int | None] = [None] * problem.people
        self.ends: dict[int, int] = {}
        self.turns: list[Turn] = []
        self.hands: list[dict[int, _Piece]] = [{} for _ in range(problem.people)]
        self.pieces = [[_Piece() for _ in range(r.capacity)] for r in problem.resources]

    def ready(self, op: int) -> int | None:
        """When the last need of an operation is met; None while one is open."""
        time = 0
        for clause in self.problem.needs[op]:
            met = [self.ends[other] for other in clause if other in self.ends]
            if not met:
                return None
            time = max(time, min(met))
        return time

    def teams(self, op: int) -> Iterator[tuple[int, ...]]:
        """Who could take the roles of an operation, one of those that are in the same state."""
        if len(self.problem.roles[op]) == 1 and len(set(self.free)) == len(self.free):
            yield from ((person,) for person in range(self.problem.people))
            return
        seen = set()
        for team in permutations(range(self.problem.people), len(self.problem.roles[op])):
            state = tuple((self.free[p], self.setup[p], tuple(sorted(self.hands[p]))) for p in team)
            if state not in seen:
                seen.add(state)
                yield team

    def change(self, person: int, setup: int) -> int:
        """What a person needs to get into a set-up."""
        old = self.setup[person]
        return self.problem.starts[setup] if old is None else self.problem.changes[old][setup]

    def earliest(self, op: int, team: Sequence[int]) -> int | None:
        """When an operation can start with this team; None if somebody lost what they would have to hold."""
        start = self.ready(op)
        if start is None:
            return None
        wanted = dict(self.problem.using(op))
        taken = set()
        for person, setup in zip(team, self.problem.roles[op], strict=True):
            start = max(start, self.free[person] + self.change(person, setup))
            for r in self.problem.scarce[setup]:
                if not self._goes_on(person, r):
                    wanted[r] = wanted.get(r, 0) + 1
                    taken.add(r)
                elif r not in self.hands[person]:
                    return None
        for r, amount in wanted.items():
            if amount:
                free = sorted(piece.free for piece in self.pieces[r] if piece.holder not in team)
                if len(free) < amount:
                    return None
                start = max(start, free[amount - 1] + (self.problem.resources[r].take if r in taken else 0))
        return start

    def put(self, op: int, team: Sequence[int], start: int) -> None:
        """Do an operation from ``start`` on."""
        end = start + self.problem.durations[op]
        for person, setup in zip(team, self.problem.roles[op], strict=True):
            self._pick_up(person, setup, start, team)
        for person, setup in zip(team, self.problem.roles[op], strict=True):
            for r in self.problem.scarce[setup]:
                self.hands[person][r].free = end + self.problem.resources[r].give
            self.free[person], self.setup[person] = end, setup
        for r, amount in self.problem.using(op):
            idle = sorted((p for p in self.pieces[r] if p.free <= start), key=lambda p: -p.free)
            for piece in idle[:amount]:
                self._give_up(r, piece)
                piece.free = end
        self.ends[op] = end
        self.turns.append(Turn(op, start, end, tuple(team)))

    def timetable(self) -> Timetable:
        """What has been put so far; what falls together stays in the sequence in which it was put."""
        return Timetable(tuple(sorted(self.turns, key=lambda turn: (turn.start, turn.end))))

    def _pick_up(self, person: int, setup: int, start: int, team: Sequence[int]) -> None:
        keeps = self.problem.scarce[setup]
        hand = self.hands[person]
        for r in [r for r in hand if r not in keeps]:
            self._give_up(r, hand[r])
        for r in keeps:
            if r not in hand:
                latest = start - self.problem.resources[r].take
                free = [p for p in self.pieces[r] if p.free <= latest and p.holder not in team]
                best = max(free, key=lambda p: (p.holder is None, p.free))
                self._give_up(r, best)
                best.holder = person
                hand[r] = best

    def _give_up(self, resource: int, piece: _Piece) -> None:
        if piece.holder is not None:
            del self.hands[piece.holder][resource]
        piece.holder = None

    def _goes_on(self, person: int, resource: int) -> bool:
        setup = self.setup[person]
        return setup is not None and resource in self.problem.scarce[setup]


def replay(problem: CrewProblem, timetable: Timetable) -> Timetable | None:
    """The same turns by the same people in the same sequence, each as early as it then can be."""
    floor = Floor(problem)
    for turn in timetable.turns:
        start = floor.earliest(turn.op, turn.people)
        if start is None:
            return None
        floor.put(turn.op, turn.people, start)
    return floor.timetable()
