"""In what state a machine is left between two steps: what is not safe to walk away from, what to mind.

It is said to be safe only where it is known what holds every part (``held``). Where that is not known, there
is something to look at first, and no more is said than that nothing is known against it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

from sequencer.graph.operations import Kind, Op, Operation
from sequencer.machine.model import PLUG, Machine, State, Subject, Task
from sequencer.plan.closing.beads import torques_at_once
from sequencer.plan.closing.sealing import first_pass
from sequencer.plan.plan import Plan, Refit
from sequencer.plan.practice.held import HeldBy, Support, bears


class Left(Enum):
    """What is left in a state of its own when work stops; the value is its word in the data file."""

    HALF_OUT = "half_out"
    HALF_OUT_LIGHT = "half_out_light"
    FLUID_HALF_OPEN = "fluid_half_open"
    FUEL_HALF_OPEN = "fuel_half_open"
    HELD_UP = "held_up"
    STOOD_ON = "stood_on"
    LIVE = "live"
    LAID_ASIDE = "laid_aside"
    PARTLY_OUT = "partly_out"
    UNHELD = "unheld"
    SEALANT_WET = "sealant_wet"
    FILLED_UNCHECKED = "filled_unchecked"
    EASED = "eased"
    FLUID_OPEN = "fluid_open"
    DRAINED = "drained"
    SNUG = "snug"


HALF_OPEN = frozenset({Left.FLUID_HALF_OPEN, Left.FUEL_HALF_OPEN})


class Verdict(Enum):
    """Whether a machine may be left; the value is how data says it."""

    SAFE = "safe"
    LOOK = "nothing known against it"
    """As far as is known it may: but it is not known of everything what holds it."""
    UNSAFE = "not safe"

    @classmethod
    def of(cls, loose: Iterable[Loose]) -> Verdict:
        """What comes of all that is left in a state of its own."""
        found = tuple(loose)
        if any(one.unsafe for one in found):
            return cls.UNSAFE
        return cls.LOOK if any(one.look for one in found) else cls.SAFE


@dataclass(frozen=True)
class Loose:
    """One thing that is left so.

    Attributes:
        left: In which state.
        subject: A part, ``part/joint``, a fluid or a task, as the file names it.
        seconds: What it weighs against a stop, in seconds; None: never to be left so.
    """

    left: Left
    subject: str
    seconds: Fraction | None

    @property
    def unsafe(self) -> bool:
        """Whether nobody should walk away from it."""
        return self.left.value in sittings_table()["unsafe"] or self.seconds is None

    @property
    def look(self) -> bool:
        """Whether it has to be looked at before it is known that it may be left."""
        return self.left.value in sittings_table()["look"]


class Leavable:
    """A state of the machine, by what is ``loose`` in it."""

    loose: tuple[Loose, ...]

    @property
    def verdict(self) -> Verdict:
        """Whether the machine may be left so."""
        return Verdict.of(self.loose)

    @property
    def safe(self) -> bool:
        """Whether it is known that the machine may be left so."""
        return self.verdict is Verdict.SAFE


@dataclass(frozen=True)
class Stop(Leavable):
    """The state of the machine after step ``after`` of a plan; 0 is before the first."""

    after: int
    loose: tuple[Loose, ...]

    @property
    def forbidden(self) -> bool:
        """Whether no length of a sitting is a reason to stop here."""
        return any(one.seconds is None for one in self.loose)

    @property
    def weight(self) -> Fraction:
        """What stopping here costs, in seconds."""
        return sum((one.seconds or Fraction(0) for one in self.loose), Fraction(0))


def stops(plan: Plan, apart: Sequence[Operation] = (), whole: Sequence[Operation] = ()) -> tuple[Stop, ...]:
    """The state after each step of a plan, the one before the first step first: ``len(steps) + 1`` of them.

    Both ways are looked at in the direction of removal: what is off, what is begun, what is whole. After the
    k-th step of a reassembly that is what is still undone.

    Args:
        plan: The plan.
        apart: What is undone beside it and stays so: the steps of the way in that the plan does not reverse.
        whole: What was to be undone and never was: a part that hangs on it is still held by it.
    """
    places = Places(plan, apart, whole)
    names = [step.operation.name for step in plan.steps]
    return tuple(Stop(after, places.left(names[:after])) for after in range(len(names) + 1))


class Places:
    """Where a plan may stop: what is left in a state of its own once just these of its steps are done.

    That depends on what is done and not on the order in which it was, so that it can be asked of any other
    order of the same steps. Arguments are those of ``stops``.
    """

    def __init__(self, plan: Plan, apart: Sequence[Operation] = (), whole: Sequence[Operation] = ()) -> None:
        self._plan = plan
        self._facts = {op.name: _Fact.of(plan.machine, op) for op in plan.operations}
        self._undone, self._held = ([_Fact.of(plan.machine, op) for op in some] for some in (apart, whole))
        self._apart = tuple(apart)
        self._late = tuple(_way_back_only(plan)) if isinstance(plan, Refit) else ()

    def left(self, done: Collection[str]) -> tuple[Loose, ...]:
        """What is left so."""
        done = set(done)
        gone = [fact for name, fact in self._facts.items() if name in done]
        stays = [fact for name, fact in self._facts.items() if name not in done]
        opened, closed = (stays, gone) if self._plan.back else (gone, stays)
        support = Support(self._plan.machine, (*self._apart, *(fact.operation for fact in opened)))
        opened, closed = [*self._undone, *opened], [*closed, *self._held]
        loose = _left_so(support, opened, closed)
        return (*loose, *(late.loose for late in self._late if late.begun <= done and not late.ended <= done))


def left_so(machine: Machine, opened: Sequence[Operation], closed: Sequence[Operation]) -> tuple[Loose, ...]:
    """What is in a state of its own on a way in with just ``opened`` done, and ``closed`` to come."""
    gone, stays = ([_Fact.of(machine, op) for op in some] for some in (opened, closed))
    return _left_so(Support(machine, tuple(opened)), gone, stays)


def _left_so(support: Support, opened: Sequence[_Fact], closed: Sequence[_Fact]) -> tuple[Loose, ...]:
    return (*_hanging(support, closed), *_fluids(support.machine, opened, closed), *_held_up(support))


def wets(machine: Machine, op: Operation) -> tuple[str, ...]:
    """The fluids whose system a step opens or closes."""
    return _Fact.of(machine, op).wets


_UNDOING = frozenset({Kind.UNDO, Kind.FASTEN})
_FREEING = frozenset({Kind.REMOVE, Kind.FIT, Kind.MOVE_ASIDE, Kind.MOVE_BACK})
_DRAINING = frozenset({Kind.DRAIN, Kind.FILL})


@dataclass(frozen=True)
class _Fact:
    """What an operation means for a stop: whether the part is on its way by it, and what it opens."""

    operation: Operation
    frees: bool
    wets: tuple[str, ...]

    @classmethod
    def of(cls, machine: Machine, op: Operation) -> _Fact:
        frees, wets = op.kind in _FREEING, tuple[str, ...]()
        if op.kind in _UNDOING and op.part and op.joint:
            part = machine.parts[op.part]
            joint = part.joints[op.joint]
            frees, wets = bears(joint), part.spills(joint)
        return cls(op, frees, wets)


def _hanging(support: Support, closed: Sequence[_Fact]) -> Iterator[Loose]:
    """Parts that hang on some of what held them, or on nothing that is known; parts that are eased."""
    coming = {fact.operation.part for fact in closed if fact.frees}
    eased = []
    for name, held in support.held().items():
        part, state = support.machine.parts[name], support.moved.get(name)
        if held.by is HeldBy.HAND or (held.by is HeldBy.SOME and name in coming):
            heavy = (part.weight_kg or 0) >= sittings_table()["heavy_from_kg"]
            yield _loose(Left.HALF_OUT if heavy else Left.HALF_OUT_LIGHT, name)
        elif held.by is HeldBy.SOME:
            yield _loose(Left.PARTLY_OUT, name)
        elif held.by is HeldBy.UNKNOWN:
            yield _loose(Left.LAID_ASIDE if state is State.ASIDE else Left.UNHELD, name)
        if state is State.LOOSE or (held.by is HeldBy.ITSELF and state is not State.ASIDE):
            eased.append(name)
    yield from (_loose(Left.EASED, name) for name in eased)


def _held_up(support: Support) -> Iterator[Loose]:
    """Loads that are held up by what may not be left to hold them, or by what nobody has said may be."""
    for name in support.standing:
        task = support.machine.tasks[name]
        if task.rated or (task.load and name not in support.loaded):
            continue
        words, known = _words_of(support.machine, task), sittings_table()["words"]
        if task.steadied and not task.load and not words.isdisjoint(known["turning"]):
            continue  # a strap wrench round a flywheel
        if not words.isdisjoint(known["standing"]):
            yield _loose(Left.STOOD_ON, name)
        elif task.load or not words.isdisjoint(known["holding"]):
            yield _loose(Left.HELD_UP, name)


def _words_of(machine: Machine, task: Task) -> set[str]:
    """The words in what a task is called and what it is done with."""
    tool = machine.tools.get(task.tool)
    return _said(task.name, task.label, task.tool, tool.label if tool else "")


def _said(*names: str | None) -> set[str]:
    return set(re.findall(r"[^\W_]+", " ".join(filter(None, names)).lower()))


def _fluids(machine: Machine, opened: Sequence[_Fact], closed: Sequence[_Fact]) -> Iterator[Loose]:
    """Systems that are half open, open, or drained and still closed.

    Ends that are open may be plugged over night. Not with fuel: what is left in it goes on giving off vapour.
    """
    wet_open, wet_closed = ({fluid for fact in facts for fluid in fact.wets} for facts in (opened, closed))
    drained = (fact.operation.subject for fact in opened if fact.operation.kind in _DRAINING)
    for fluid in dict.fromkeys((*drained, *(fluid for fact in opened for fluid in fact.wets))):
        if fluid not in wet_open:
            yield _loose(Left.DRAINED, fluid)
        else:
            fuel = _said(fluid, machine.fluids[fluid].label) & set(sittings_table()["words"]["fuel"])
            half = Left.FUEL_HALF_OPEN if fuel else Left.FLUID_HALF_OPEN
            yield _loose(half if fluid in wet_closed else Left.FLUID_OPEN, fluid)


@dataclass(frozen=True)
class _Late:
    """What is left so on the way back once all of ``begun`` are done, until all of ``ended`` are."""

    loose: Loose
    begun: frozenset[str]
    ended: frozenset[str]

    @classmethod
    def of(cls, left: Left, subject: str, begun: Iterable[str], ended: Iterable[str]) -> _Late:
        return cls(_loose(left, subject), frozenset(begun), frozenset(ended))


def _way_back_only(plan: Refit) -> Iterator[_Late]:
    """Sealants that must not skin over, fillings not yet looked at, joints only snug; live with parts off.

    What is done and no longer in the plan comes before its first step.
    """
    names = [step.operation.name for step in plan.steps]
    numbered = {step.number: step.operation.name for step in plan.steps}
    known = set(names)
    for hold in plan.holds:
        if hold.after_step in numbered:
            ends = {numbered[hold.after_step], *first_pass(plan.machine, hold.sealed, known)}
            ends |= {numbered[number] for number in torques_at_once(plan, hold)}
            yield _Late.of(Left.SEALANT_WET, hold.sealed, {numbered.get(hold.seal_step, "")} & known, ends)
    for name in names:
        fluid = Op(name).subject
        if Op(name).kind is Kind.LEAK_CHECK:
            yield _Late.of(Left.FILLED_UNCHECKED, fluid, {Kind.FILL.of(fluid)} & known, {name})
    fits = {name for name in names if Op(name).kind is Kind.FIT}
    for task in plan.machine.first if fits else ():
        if (undone := Kind.RESTORE.of(task)) in known or undone in set(plan.earlier) - set(plan.skipped):
            yield _Late.of(Left.LIVE, task, {undone} & known, fits)
    for gate in plan.gates:
        if Subject(gate.joint).part in plan.machine.fluids and Subject(gate.joint).joint == PLUG:
            continue  # a plug gets its torque as it goes in
        ways = {kind.of(gate.joint) for kind in (Kind.FASTEN, Kind.TIGHTEN)}
        run_down = next((name for name in names if name in ways), None)
        if run_down is None:  # it was before: then from where it can be torqued
            first = names.index(numbered[gate.first_step])
            run_down = names[first - 1] if first else ""
        yield _Late.of(Left.SNUG, gate.joint, {run_down} & known, {numbered[gate.step]})


def _loose(left: Left, subject: str) -> Loose:
    rules = sittings_table()
    if left.value in rules["never"]:
        return Loose(left, subject, None)
    weight: Mapping[str, Any] = rules["unsafe"] | rules["look"] | rules["mind"]
    return Loose(left, subject, Fraction(weight[left.value]))


@cache
def sittings_table() -> dict[str, Any]:
    """What the data file of sittings says: its header explains the keys."""
    text = resources.files("sequencer.plan").joinpath("data/sittings.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def overnight_seconds() -> Fraction:
    """From how long a cure on it is left for between two sittings."""
    return Fraction(sittings_table()["overnight_seconds"])
