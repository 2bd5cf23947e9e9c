"""A plan shared out among several people: the question to the engine, and its answer as a schedule.

Everybody begins with empty hands at the file's ``start`` (or wherever their first step is), carries their
own tool, goes their own ways and pays for both as one person does. What there is of a thing:

* A tool: its ``count``, 1 unless the file says more. It is in a person's hand from picking it up (``pick_up``
  before the first of the steps with it) to putting it down (``put_down`` after the last of them); who waits
  with it in hand keeps it from the others.
* A drive, the handle that bits and sockets are swapped on: as many as ``handles`` says, 1 unless told, or as
  the largest ``count`` of a tool on it: with two 10 mm sockets in use at once, there are two ratchets. One
  handle is not in two hands, so that two people with sockets of one ratchet work one after the other.
* A position: its ``room``, 1 unless the file says more. A person is there from getting in (``enter``) to
  having got out (``leave``), waits between two steps there included.
* Hands are free, and there are always enough of them.

Of good practice the orders hold for several people as for one (``crew_rules``): nobody is below while a
weight is carried, and no helper goes on before it is needed or stays on a part that comes off. What else it
says of neighbouring steps is one person's own affair, and is said above the schedule.

A part or task that takes several ``people`` has them all at its position from start to end. One of them has
the tool; the others come with empty hands. Those for whom the position has no room stand by beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from sequencer.engine.crew import CrewLimits, CrewProblem, CrewResult, Resource, Timetable, schedule
from sequencer.errors import SequencerError
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import Kind, Operation, OperationGraph
from sequencer.machine.model import HAND, Machine
from sequencer.plan.answer import Watch
from sequencer.plan.crew.crew_rules import orders_for_several
from sequencer.plan.hours.hours import Hours
from sequencer.plan.order.prefer import Prefer, Scale
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.plan import Step, Teardown


@dataclass(frozen=True, order=True)
class Scarce:
    """Something of which there may be too few: a ``tool``, a ``drive`` or a ``position``."""

    kind: str
    name: str


@dataclass(frozen=True)
class CrewTurn:
    """One step in its place in a schedule.

    Attributes:
        number: Counts from 1 by the time of starting, over all people.
        step: The step of the plan for one person.
        start: Seconds from the beginning of the job; so is ``end``.
        people: Who does it, counted from 0; the first has the tool.
    """

    number: int
    step: Step
    start: Fraction
    end: Fraction
    people: tuple[int, ...]


@dataclass(frozen=True)
class Visit:
    """One person's part in a turn.

    Attributes:
        tool: What this person has in hand.
        change_seconds: Getting there and changing the tool.
        wait_seconds: With nothing to do before it.
    """

    turn: CrewTurn
    tool: str
    change_seconds: Fraction
    wait_seconds: Fraction


@dataclass(frozen=True)
class Schedule:
    """A plan's steps shared out among people.

    Attributes:
        bound_seconds: Proven: so many people can't be done with these steps sooner.
        things: What there are too few of, each with how many there are.
        needs: For each operation the clauses that hold among these steps.
        cut_short: A wall clock or the keyboard ended the search: another run may give another schedule.
    """

    plan: Teardown
    people: int
    handles: int
    turns: tuple[CrewTurn, ...]
    visits: tuple[tuple[Visit, ...], ...]
    bound_seconds: Fraction
    proven: bool
    things: Mapping[Scarce, int]
    needs: Mapping[str, tuple[tuple[str, ...], ...]]
    cut_short: bool = False
    drives: Mapping[str, str | None] = field(default_factory=dict)

    @cached_property
    def hours(self) -> Hours:
        """How long that really takes: longer than planned in the measure in which it is for one person.

        Most of what makes work take longer (the machine, its fasteners, the day) they have in common.
        """
        alone, hours = self.plan.totals.seconds, self.plan.hours
        share = float(self.seconds / alone) if alone else 1.0
        return Hours(round(share * hours.low), round(share * hours.likely), round(share * hours.high))

    @property
    def seconds(self) -> Fraction:
        """From the beginning to the end of the last step."""
        return max((turn.end for turn in self.turns), default=Fraction(0))

    @property
    def gap(self) -> Fraction:
        """How much of the length could still be saved at the most, as a share of it."""
        return 1 - self.bound_seconds / self.seconds if self.seconds else Fraction(0)

    def things_of(self, position: str, tool: str) -> tuple[Scarce, ...]:
        """What a person at a position with a tool keeps from the others."""
        return tuple(
            thing for thing in _things_of(Setup(position, tool), self.drives) if thing in self.things
        )


def plan_schedule(
    plan: Teardown,
    people: int,
    limits: CrewLimits = CrewLimits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
    handles: int = 1,
) -> Schedule:
    """Share the steps of ``plan`` out among ``people`` so that the last of them ends soonest.

    Raises:
        SequencerError: Something takes more people than there are.
    """
    order = tuple(operation.name for operation in plan.operations)
    graph = plan.graph.restricted(order)
    changes = Changes.of(plan.machine)
    question = _Question(plan, graph, changes, people, handles)
    scale = question.scale
    progress = None
    if watch is not None:
        told = watch

        def progress(length: int, bound: int) -> None:
            told(scale.split(length)[1], scale.split(bound)[1])

    result = schedule(question.problem, range(len(order)), limits, progress)
    return question.schedule(result, cut_short=limits.seconds is not None or result.interrupted)


@dataclass(frozen=True)
class _Post:
    """A set-up of the engine's: where, with what, and whether inside the position's room."""

    setup: Setup
    inside: bool = True


class _Question:
    """The problem for the engine and what its numbers mean."""

    def __init__(
        self, plan: Teardown, graph: OperationGraph, changes: Changes, people: int, handles: int
    ) -> None:
        self.plan, self.graph, self.changes = plan, graph, changes
        self.people, self.handles = people, handles
        roles = [_roles(plan.machine, step, people) for step in plan.steps]
        self.roles = roles
        self.posts = tuple(dict.fromkeys(post for posts in roles for post in posts))
        self.things = self._things()
        self.names = tuple(operation.name for operation in plan.operations)
        rules = rules_as_clauses(graph)
        kept = plan.practice.kept if plan.practice else ()
        practice = orders_for_several(graph, kept, self.names)
        self.needs = {
            name: (
                *(clause.any_of for clause in (*graph.needs[name], *rules.get(name, ()))),
                *((before,) for before, after in practice if after == name),
            )
            for name in self.names
        }
        self.scale = self._scale()
        self.problem = self._problem()

    def schedule(self, result: CrewResult, *, cut_short: bool) -> Schedule:
        table = result.timetable
        turns = tuple(
            CrewTurn(
                number,
                self.plan.steps[turn.op],
                self.scale.split(turn.start)[1],
                self.scale.split(turn.end)[1],
                turn.people,
            )
            for number, turn in enumerate(table.turns, start=1)
        )
        return Schedule(
            plan=self.plan,
            people=self.people,
            handles=self.handles,
            turns=turns,
            visits=tuple(self._visits(table, turns, person) for person in range(self.people)),
            bound_seconds=self.scale.split(result.bound)[1],
            proven=result.proven,
            things=self.things,
            needs=self.needs,
            cut_short=cut_short and not result.proven,
            drives=self.changes.drives,
        )

    def _visits(self, table: Timetable, turns: Sequence[CrewTurn], person: int) -> tuple[Visit, ...]:
        visits = []
        free, before = Fraction(0), None
        for turn, told in zip(turns, table.turns, strict=True):
            if person not in turn.people:
                continue
            here = self.roles[told.op][turn.people.index(person)].setup
            change = self.changes.seconds(before, here) if before else self.changes.start_seconds(here)
            visits.append(Visit(turn, here.tool, change, turn.start - free - change))
            free, before = turn.end, here
        return tuple(visits)

    def _things(self) -> Mapping[Scarce, int]:
        machine = self.plan.machine
        counts: dict[Scarce, int] = {}
        for post in self.posts:
            for thing in _things_of(post.setup, self.changes.drives):
                if thing.kind == "position":
                    counts[thing] = machine.positions[thing.name].room
                else:
                    known = machine.tools.get(post.setup.tool)
                    least = self.handles if thing.kind == "drive" else 1
                    counts[thing] = max(counts.get(thing, least), known.count if known else 1)
        return {thing: count for thing, count in counts.items() if count < self.people}

    def _scale(self) -> Scale:
        pace, positions = self.plan.machine.pace, self.plan.machine.positions.values()
        seconds = [step.seconds for step in self.plan.steps]
        seconds += [self.changes.seconds(a.setup, b.setup) for a in self.posts for b in self.posts]
        seconds += [self.changes.start_seconds(post.setup) for post in self.posts]
        seconds += [pace.pick_up, pace.put_down]
        seconds += [way for position in positions for way in (position.enter, position.leave)]
        return Scale.fitting(seconds, Prefer.TIME, Fraction(0))

    def _problem(self) -> CrewProblem:
        cost = self.scale.cost
        number = {name: n for n, name in enumerate(self.names)}
        post_number = {post: n for n, post in enumerate(self.posts)}
        thing_number = {thing: n for n, thing in enumerate(self.things)}
        return CrewProblem(
            people=self.people,
            durations=tuple(cost(step.seconds) for step in self.plan.steps),
            roles=tuple(tuple(post_number[post] for post in posts) for posts in self.roles),
            changes=tuple(
                tuple(cost(self.changes.seconds(a.setup, b.setup)) for b in self.posts) for a in self.posts
            ),
            starts=tuple(cost(self.changes.start_seconds(post.setup)) for post in self.posts),
            needs=tuple(
                tuple(tuple(number[n] for n in any_of) for any_of in self.needs[name]) for name in self.names
            ),
            resources=tuple(self._resource(thing, count) for thing, count in self.things.items()),
            holds=tuple(
                tuple(
                    thing_number[thing]
                    for thing in _things_of(post.setup, self.changes.drives)
                    if thing in thing_number and (post.inside or thing.kind != "position")
                )
                for post in self.posts
            ),
        )

    def _resource(self, thing: Scarce, count: int) -> Resource:
        machine, cost = self.plan.machine, self.scale.cost
        if thing.kind == "position":
            position = machine.positions[thing.name]
            return Resource(count, cost(position.enter), cost(position.leave))
        return Resource(count, cost(machine.pace.pick_up), cost(machine.pace.put_down))


def _things_of(setup: Setup, drives: Mapping[str, str | None]) -> tuple[Scarce, ...]:
    things = [Scarce("position", setup.position)]
    if setup.tool != HAND:
        things.append(Scarce("tool", setup.tool))
        drive = drives.get(setup.tool)
        if drive is not None:
            things.append(Scarce("drive", drive))
    return tuple(things)


def people_for(machine: Machine, operation: Operation) -> int:
    """How many people an operation takes at once, as the file says."""
    if operation.kind in (Kind.REMOVE, Kind.FIT) and operation.part is not None:
        return machine.parts[operation.part].people
    if operation.kind in (Kind.TASK, Kind.RESTORE):
        return machine.tasks[operation.subject].people_for(undo=operation.kind is Kind.RESTORE)
    return 1


def _roles(machine: Machine, step: Step, people: int) -> tuple[_Post, ...]:
    operation = step.operation
    wanted = people_for(machine, operation) if step.seconds else 1  # what takes no time takes no hands
    if wanted > people:
        raise SequencerError(
            f"{operation.place}: {operation.name} takes {wanted} people", f"plan with --people {wanted}"
        )
    room = machine.positions[operation.position].room
    posts = [_Post(Setup(operation.position, operation.tool))]
    posts += [_Post(Setup(operation.position, HAND), inside=role < room) for role in range(1, wanted)]
    return tuple(posts)
