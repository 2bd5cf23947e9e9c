"""What is asked about several people and what is answered: numbers in, a timetable and a bound out.

Which operations are done is settled before; here they are shared out among ``people`` who work at the same
time, so that the last of them is finished as early as possible.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from sequencer.engine.problem import Clause, Status


@dataclass(frozen=True)
class Resource:
    """Something of which there are ``capacity`` pieces, held or used by one person or operation at a time.

    A person holds a piece through a run: consecutive operations of theirs whose set-ups all hold it. The
    hold begins ``take`` before the first of them starts and ends ``give`` after the last has ended; waiting
    in between is holding too. Nobody gives a piece back for a while in the middle of a run.
    """

    capacity: int
    take: int = 0
    give: int = 0


@dataclass(frozen=True)
class CrewProblem:
    """Operations to be shared out among people.

    Attributes:
        people: How many there are; each is like the other.
        durations: Of each operation, n of them.
        roles: For each operation the set-up of every person that it takes at once, all from start to end;
            most operations take one.
        changes: m × m; what a person needs from one set-up to the next, the diagonal is 0.
        starts: m; what a person needs before a first operation in each set-up.
        needs: For each operation a conjunction of clauses: one operation of each has ended before it starts.
        resources: What is scarce.
        holds: m; the resources that a person in each set-up holds.
        demands: For each operation the (resource, amount) that it uses while it lasts, whoever does it.
    """

    people: int
    durations: tuple[int, ...]
    roles: tuple[tuple[int, ...], ...]
    changes: tuple[tuple[int, ...], ...]
    starts: tuple[int, ...]
    needs: tuple[tuple[Clause, ...], ...]
    resources: tuple[Resource, ...] = ()
    holds: tuple[tuple[int, ...], ...] = ()
    demands: tuple[tuple[tuple[int, int], ...], ...] = ()

    @cached_property
    def scarce(self) -> tuple[tuple[int, ...], ...]:
        """For each set-up, the held resources that can run out: fewer pieces than people, or used besides."""
        used = {resource for demand in self.demands for resource, _ in demand}
        return tuple(
            tuple(r for r in held if self.resources[r].capacity < self.people or r in used)
            for held in self.holds or ((),) * len(self.starts)
        )

    def using(self, op: int) -> tuple[tuple[int, int], ...]:
        """The (resource, amount) that an operation uses while it lasts."""
        return self.demands[op] if self.demands else ()

    def amount(self, op: int, resource: int) -> int:
        """How much of a resource an operation has in use while it lasts, held by its people or by itself."""
        held = sum(resource in self.holds[setup] for setup in self.roles[op]) if self.holds else 0
        return held + sum(amount for r, amount in self.using(op) if r == resource)

    @cached_property
    def work(self) -> int:
        """The durations of all operations, once for each person that they take."""
        return sum(d * len(roles) for d, roles in zip(self.durations, self.roles, strict=True))


@dataclass(frozen=True)
class Turn:
    """When an operation is done and by whom: ``people[r]`` takes role r."""

    op: int
    start: int
    end: int
    people: tuple[int, ...]


@dataclass(frozen=True)
class Timetable:
    """Every operation's turn, by start, then by end; each person does theirs in this sequence."""

    turns: tuple[Turn, ...]

    @property
    def length(self) -> int:
        """When the last operation ends."""
        return max((turn.end for turn in self.turns), default=0)

    def route(self, person: int) -> tuple[tuple[Turn, int], ...]:
        """A person's turns in order, each with the role."""
        return tuple((t, t.people.index(person)) for t in self.turns if person in t.people)


@dataclass(frozen=True)
class CrewLimits:
    """When to stop looking for something better.

    Attributes:
        work: In CP-SAT's deterministic time, a count of its work (about a second of one core each); the
            answer is repeatable for a given value. None: no limit.
        seconds: Wall clock; answers under it may differ from run to run. None: no limit.
        gap: Stop once (length − bound) / length is at most this; 0 asks for the proof.
    """

    work: float | None = None
    seconds: float | None = None
    gap: float = 0.0


@dataclass(frozen=True)
class CrewResult:
    """An answer: ``bound`` ≤ the shortest possible length ≤ ``timetable.length``.

    Attributes:
        listed: The length of the best list schedule, where the improvement began.
        interrupted: Stopped from the keyboard.
    """

    status: Status
    timetable: Timetable
    bound: int
    listed: int
    interrupted: bool = field(default=False, compare=False)

    @property
    def proven(self) -> bool:
        """True when these operations can't be finished sooner by so many people."""
        return self.status is Status.PROVEN


CrewProgress = Callable[[int, int], None]
"""Called with (length, bound) whenever either improves."""
