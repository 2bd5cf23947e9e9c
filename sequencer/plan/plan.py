"""A plan as the views see it: steps in order, stations, totals, and how good it is proven to be."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from math import inf
from typing import ClassVar

from sequencer.errors import SequencerError
from sequencer.graph.derive import derive
from sequencer.graph.kept import OrderKnown, how_known
from sequencer.graph.operations import Kind, Operation, OperationGraph, Reason
from sequencer.graph.targets import Target
from sequencer.machine.facts.learned import Learned
from sequencer.machine.model import Machine
from sequencer.plan.hours.hours import Hours, hours_of
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.practice.rules import Dropped, Rule


@dataclass(frozen=True)
class Step:
    """One operation in its place in a plan.

    Attributes:
        number: Counts from 1 through the whole plan.
        seconds: The operation's own time here (what was slackened before takes less to undo).
        change_seconds: The tool change and reach-around before it.
        opens: Later operations of the plan that can be done from here on and could not before.
    """

    number: int
    operation: Operation
    seconds: Fraction
    change_seconds: Fraction
    tool_change: bool
    reach_around: bool
    opens: tuple[str, ...] = ()


@dataclass(frozen=True)
class Totals:
    """What a sequence costs: exact seconds, and the two counts."""

    seconds: Fraction
    tool_changes: int
    reach_arounds: int

    def count(self, prefer: Prefer) -> int:
        """The count that ``prefer`` puts first; 0 where time comes first."""
        counts = {Prefer.TOOL_CHANGES: self.tool_changes, Prefer.REACH_AROUNDS: self.reach_arounds}
        return counts.get(prefer, 0)

    def no_worse(self, other: Totals) -> bool:
        """Whether it takes no longer, and no more changes of either kind."""
        return (
            self.seconds <= other.seconds
            and self.tool_changes <= other.tool_changes
            and self.reach_arounds <= other.reach_arounds
        )

    @classmethod
    def of(cls, steps: Iterable[Step]) -> Totals:
        """Add up the steps."""
        steps = tuple(steps)
        return cls(
            sum((step.seconds + step.change_seconds for step in steps), Fraction(0)),
            sum(step.tool_change for step in steps),
            sum(step.reach_around for step in steps),
        )


@dataclass(frozen=True)
class Station:
    """A run of steps at one position with one tool."""

    number: int
    position: str
    tool: str
    steps: tuple[Step, ...]

    @property
    def seconds(self) -> Fraction:
        """Getting there and all that is done there."""
        return sum((step.seconds + step.change_seconds for step in self.steps), Fraction(0))


@dataclass(frozen=True)
class Bound:
    """How good an order is: what is proven of every other that honours the same ``prefer``.

    Attributes:
        seconds: None takes less; 0 while its count may still fall.
        count: None needs fewer of what ``prefer`` puts first; 0 for time.
        reached: The order at hand is one of the best.
    """

    seconds: Fraction
    count: int
    reached: bool


@dataclass(frozen=True)
class Added:
    """Seconds that good practice adds to the plain plan; at the least so many unless that is proven."""

    seconds: Fraction
    exact: bool

    def more(self, seconds: Fraction) -> Added:
        """The same for an order that takes so many seconds more."""
        return replace(self, seconds=self.seconds + seconds)


@dataclass(frozen=True)
class GoodPractice:
    """What good practice makes of a plan.

    Attributes:
        added: None in the middle of a job, where no plain plan was made.
        rules: Those that the order keeps, in order of priority; None in the middle of a job, likewise.
        dropped: Those that it can't keep, each at one part or joint.
    """

    added: Added | None
    rules: tuple[Rule, ...] | None
    dropped: tuple[Dropped, ...]

    @property
    def kept(self) -> tuple[Rule, ...]:
        """The rules that any other order of the same steps has to keep.

        Raises:
            SequencerError: They are those of a job under way.
        """
        if self.rules is None:
            raise SequencerError("what is left of a job keeps its order", "divide a plan made for itself")
        return self.rules


@dataclass(frozen=True)
class Plan:
    """Steps in order: what the teardown and the refit have in common.

    Attributes:
        bound: How good the order is; None where no better one was looked for, as in the rest of a plan that
            is under way.
        earlier: The operations of a job that were done or left out before these steps; ``skipped``: those of
            them that were left out.
        practice: What good practice comes to in it; None for a plain plan.
        breaks: The numbers of the steps with which a later sitting begins.
        shown_by: What makes the HTML that a notebook shows; a plan knows no medium, so one that does
            (``sequencer.render.notebook``) puts it here.
    """

    shown_by: ClassVar[Callable[[Plan], str] | None] = None

    machine: Machine
    targets: tuple[Target, ...]
    prefer: Prefer
    steps: tuple[Step, ...]
    bound: Bound | None
    earlier: tuple[str, ...] = field(default=(), kw_only=True)
    skipped: tuple[str, ...] = field(default=(), kw_only=True)
    practice: GoodPractice | None = field(default=None, kw_only=True)
    breaks: frozenset[int] = field(default=frozenset(), kw_only=True)

    @cached_property
    def totals(self) -> Totals:
        """What the steps come to."""
        return Totals.of(self.steps)

    @cached_property
    def hours(self) -> Hours:
        """How long they really take, by what the machine carries of who plans, if anything."""
        return self.hours_with(None)

    def hours_with(self, known: Learned | None) -> Hours:
        """How long they really take, with what is known of the person and the machine."""
        return hours_of(self.machine, self.steps, known, self.earlier)

    @cached_property
    def order_known(self) -> OrderKnown | None:
        """How much of its order is known, where some is merely kept as the machine came apart."""
        if not self.machine.taken_apart.order:
            return None
        return how_known(derive(self.machine), self.taken_off)

    @property
    def taken_off(self) -> tuple[str, ...]:
        """The operations of the way in that it is about."""
        return self.in_all

    @property
    def in_all(self) -> tuple[str, ...]:
        """All that the job does this way: what was done before, these steps, and last what was left out."""
        done = (name for name in self.earlier if name not in self.skipped)
        return (*done, *(step.operation.name for step in self.steps), *self.skipped)

    @property
    def bound_seconds(self) -> Fraction:
        """No order that honours ``prefer`` takes less: 0 where nothing is known."""
        return self.bound.seconds if self.bound else Fraction(0)

    @property
    def bound_count(self) -> int:
        """No order needs fewer of what ``prefer`` puts first: 0 where nothing is known, and for time."""
        return self.bound.count if self.bound else 0

    @property
    def proven(self) -> bool:
        """Whether no order is better; where nothing is left to do, none can be."""
        return self.bound.reached if self.bound else not self.steps

    @property
    def back(self) -> bool:
        """Whether this is a way back."""
        return isinstance(self, Refit)

    @property
    def stations(self) -> tuple[Station, ...]:
        """The steps by position and tool; none goes on over a break."""
        sitting = 0

        def where(step: Step) -> tuple[int, str, str]:
            nonlocal sitting
            sitting += step.number in self.breaks
            return sitting, step.operation.position, step.operation.tool

        runs = groupby(self.steps, key=where)
        return tuple(
            Station(number, position, tool, tuple(steps))
            for number, ((_, position, tool), steps) in enumerate(runs, start=1)
        )

    @property
    def operations(self) -> tuple[Operation, ...]:
        """The operations in order."""
        return tuple(step.operation for step in self.steps)

    def _repr_html_(self) -> str | None:
        """What a notebook shows; None leaves it to the ``repr``."""
        return Plan.shown_by(self) if Plan.shown_by else None

    @property
    def gap(self) -> Fraction:
        """How much of the time could still be saved at the most, as a share of it."""
        return 1 - self.bound_seconds / self.totals.seconds if self.totals.seconds else Fraction(0)


@dataclass(frozen=True)
class Teardown(Plan):
    """The way in.

    Attributes:
        graph: What was possible.
        top_to_bottom: What the file's own order would cost; None where it was not looked at.
    """

    graph: OperationGraph
    top_to_bottom: Totals | None = None

    @property
    def tools(self) -> tuple[str, ...]:
        """The tools in the order in which they are first needed."""
        return tuple(dict.fromkeys(op.tool for op in self.operations if op.tool != "hand"))

    @property
    def fluids(self) -> tuple[str, ...]:
        """The fluids to catch, in order."""
        return tuple(dict.fromkeys(op.subject for op in self.operations if op.kind is Kind.DRAIN))


@dataclass(frozen=True)
class Gate:
    """A joint that gets its torque at a step of its own, while it can still be reached.

    Attributes:
        step: The number of its step.
        joint: ``part/joint``.
        first_step: The step from which on it can be closed: its fastening, or the last that it waits for.
        last_step: The step that closes it off: after that it can't be reached; None if it stays in reach.
        waits_for: Parts that must be back before it (it was cracked while they held it).
        remark: What the strength guard says of its torque; empty where that is usual, or can't be judged.
    """

    step: int
    joint: str
    first_step: int
    last_step: int | None
    waits_for: tuple[str, ...] = ()
    remark: str = ""


@dataclass(frozen=True)
class Hold:
    """A wait for a sealant.

    Attributes:
        sealed: What was sealed: a part or ``part/joint``.
        label: The sealant, in words.
        seal_step: The step that puts it on. 0: it is on already.
        after_step: The step that ends the first pass; the sealant cures from there. 0: it is done already.
        before_step: The filling that has to wait; None: the machine must not run before.
        seconds: How long it cures.
        source: ``file`` or ``default``.
    """

    sealed: str
    label: str
    seal_step: int
    after_step: int
    before_step: int | None
    seconds: Fraction
    source: str

    def over_night(self, breaks: Collection[int]) -> bool:
        """Whether a later sitting begins before what has to wait: ``breaks`` are their first steps."""
        return any(self.after_step < first <= (self.before_step or inf) for first in breaks)


@dataclass(frozen=True)
class Refit(Plan):
    """The way back. ``gates`` are in the order of their steps; ``teardown`` is what it undoes.

    ``yielded`` are gates at which an order that was only kept gives way to good practice.
    ``numbered_after`` is the number of the job's last step before it: its stations are counted from there.
    """

    teardown: Teardown
    gates: tuple[Gate, ...]
    unreachable_fills: tuple[tuple[str, Reason], ...] = ()
    holds: tuple[Hold, ...] = ()
    yielded: tuple[str, ...] = ()
    numbered_after: int = 0

    @property
    def taken_off(self) -> tuple[str, ...]:
        """The operations of the way in that it undoes."""
        return self.teardown.in_all

    def closing_off(self, number: int) -> tuple[Gate, ...]:
        """The gates that can no longer be reached after step ``number``."""
        return tuple(gate for gate in self.gates if gate.last_step == number)
