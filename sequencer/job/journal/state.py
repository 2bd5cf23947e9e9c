"""The state of a job after its last event. ``replay`` makes it from the events; nothing stores it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from sequencer.graph.operations import Op
from sequencer.job.journal.events import EventKind, Recorded

ALONG = "with"
"""The key of a body that names the event which this one came along with: both are undone together."""

ACTS = frozenset(EventKind) - {
    EventKind.UNDONE,
    EventKind.CHANGED,
    EventKind.STARTED,
    EventKind.EVENING,
    EventKind.MACHINE,
    EventKind.UNKNOWN,
}
"""What a person did, and so what a bare undo takes back."""


@dataclass(frozen=True, slots=True)
class Tick:
    """An operation that was done, or was skipped with ``why``.

    Attributes:
        op: Its name in plans.
        number: Its number in the plan by which it was ticked; None: it was in no plan.
        event: The id of the event that ticked it.
        anyway: Why it was done although the plan said that it can't be.
        back: It belongs to the reassembly.
        prepared: What was ticked of bench lists in the same act, those of its other steps included.
    """

    op: Op
    number: int | None
    event: str
    time: datetime
    person: str
    device: str
    why: str | None = None
    anyway: str | None = None
    back: bool = False
    prepared: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of one person's work that ended with a tick of ``ops``.

    Attributes:
        seconds: From that person's former tick (or the start, or the resumption) to this one, without the
            time in between in which work stood; None where it is not known, so that it counts for nothing.
        told: It was told in a line, and not ticked.
    """

    event: str
    ops: tuple[Op, ...]
    person: str
    began: datetime | None
    ended: datetime
    seconds: float | None
    told: bool = False


@dataclass(frozen=True, slots=True)
class BackwardClock:
    """A device's clock that was set back between two events: the time between them is not known."""

    event: str
    person: str
    device: str
    seconds: float


@dataclass(frozen=True)
class JobState:
    """The job after its last event.

    Attributes:
        seq: The last event's number; it grows with each event.
        steps: The present plan in order, done steps included: (number, operation).
        ticks: What is done, in that order. Where an operation belongs to both ways, as the setting up of a
            helper does, it is that of the way which the job goes.
        done: The operations of the way in that are done, in that order, all of them.
        skipped: What was skipped, by operation.
        ticked: Every tick that stands, in order, whichever way the job went then.
        spells: How long things took.
        kept: Every event that stands, by kind, in order.
        turned: The reassembly has begun.
        running: Since when the clock runs; None while work stands.
        worked: Seconds with the clock running, up to the last event.
        backward: Where clocks went backwards.
        history: Every event in order, those that were taken back included.
    """

    seq: int = 0
    steps: tuple[tuple[int, Op], ...] = ()
    ticks: Mapping[Op, Tick] = field(default_factory=dict)
    done: tuple[Op, ...] = ()
    skipped: Mapping[Op, Tick] = field(default_factory=dict)
    ticked: tuple[Tick, ...] = ()
    spells: tuple[Spell, ...] = ()
    kept: Mapping[EventKind, tuple[Recorded, ...]] = field(default_factory=dict)
    turned: bool = False
    running: datetime | None = None
    worked: float = 0.0
    backward: tuple[BackwardClock, ...] = ()
    last: Recorded | None = None
    history: Sequence[Recorded] = ()

    @property
    def back(self) -> tuple[Op, ...]:
        """The steps of the way back that are done, in that order."""
        return tuple(op for op, tick in self.ticks.items() if tick.back)

    @property
    def left(self) -> tuple[tuple[int, Op], ...]:
        """The steps of the present plan that are neither done nor skipped: (number, operation)."""
        return tuple((n, op) for n, op in self.steps if op not in self.ticks and op not in self.skipped)

    @property
    def settled(self) -> tuple[Op, ...]:
        """The rest of the present plan, which is done or skipped, in its order."""
        return tuple(op for _, op in self.steps if op in self.ticks or op in self.skipped)

    @property
    def numbers(self) -> Mapping[str, int]:
        """The numbers of the present plan's steps, by operation."""
        return {op: number for number, op in self.steps}

    @property
    def plans(self) -> tuple[Recorded, ...]:
        """The events of all plans of this job, the present one last."""
        both = (*self.of(EventKind.CHANGED), *self.of(EventKind.TURNED))
        return tuple(sorted(both, key=lambda one: one.seq))

    @property
    def planned(self) -> Iterator[tuple[int, Op]]:
        """Every step that any plan of this job has had, the present one last: (number, operation)."""
        for plan in self.plans:
            yield from ((int(number), Op(op)) for number, op in plan.event.body.get("steps", ()))

    @property
    def highest(self) -> int:
        """The highest number that any step of this job has had."""
        return max((number for number, _ in self.planned), default=0)

    @property
    def before_turning(self) -> int:
        """The highest number before the way back began, whose steps go on from it; 0 on the way in."""
        if not self.turned:
            return 0
        return (
            min(
                (int(number) for number, _ in self.of(EventKind.TURNED)[-1].event.body.get("steps", ())),
                default=1,
            )
            - 1
        )

    @property
    def started(self) -> bool:
        """Whether any work has begun."""
        return bool(self.ticks or self.of(EventKind.STARTED) or self.of(EventKind.RESUMED))

    def of(self, kind: EventKind) -> tuple[Recorded, ...]:
        """The events of one kind that stand, in order."""
        return self.kept.get(kind, ())

    def number(self, op: str) -> int | None:
        """The number of an operation in the present plan, or in the one by which it was ticked."""
        tick = self.tick(op)
        return next((n for n, name in self.steps if name == op), tick.number if tick else None)

    def tick(self, op: str) -> Tick | None:
        """The tick of an operation, or of its skipping; None where it has neither."""
        return self.ticks.get(Op(op)) or self.skipped.get(Op(op))
