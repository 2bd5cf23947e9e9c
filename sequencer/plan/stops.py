"""In what state a machine is left between two steps: what is not safe to walk away from, what to mind."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import PLUG, Machine
from sequencer.plan.plan import Plan, Refit


class Left(Enum):
    """What is left in a state of its own when work stops; the value is its word in the data file."""

    HALF_OUT = "half_out"
    HALF_OUT_LIGHT = "half_out_light"
    FLUID_HALF_OPEN = "fluid_half_open"
    HELD_UP = "held_up"
    SEALANT_WET = "sealant_wet"
    FILLED_UNCHECKED = "filled_unchecked"
    EASED = "eased"
    FLUID_OPEN = "fluid_open"
    DRAINED = "drained"
    SNUG = "snug"


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
        return self.left.value in _rules()["unsafe"] or self.seconds is None


@dataclass(frozen=True)
class Stop:
    """The state of the machine after step ``after`` of a plan; 0 is before the first."""

    after: int
    loose: tuple[Loose, ...]

    @property
    def safe(self) -> bool:
        """Whether the machine may be left so."""
        return not any(one.unsafe for one in self.loose)

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
    facts = [_Fact.of(plan.machine, step.operation) for step in plan.steps]
    undone, held = ([_Fact.of(plan.machine, op) for op in some] for some in (apart, whole))
    found = []
    for after in range(len(facts) + 1):
        gone, stays = facts[:after], facts[after:]
        opened, closed = (stays, gone) if isinstance(plan, Refit) else (gone, stays)
        opened, closed = [*undone, *opened], [*closed, *held]
        loose = [*_half_out(plan.machine, opened, closed), *_fluids(opened, closed)]
        held_up = Counter(fact.operation.subject for fact in opened if fact.holds)
        loose += [_loose(Left.HELD_UP, task) for task, times in held_up.items() if times == 1]
        if isinstance(plan, Refit):
            loose += _way_back_only(plan, after)
        found.append(Stop(after, tuple(loose)))
    return tuple(found)


_UNDOING = frozenset({Kind.UNDO, Kind.FASTEN})
_FREEING = frozenset({Kind.REMOVE, Kind.FIT, Kind.MOVE_ASIDE, Kind.MOVE_BACK})
_EASING = frozenset({Kind.LOOSEN, Kind.SEAT})
_DRAINING = frozenset({Kind.DRAIN, Kind.FILL})
_TASKS = frozenset({Kind.TASK, Kind.RESTORE})


@dataclass(frozen=True)
class _Fact:
    """What an operation means for a stop: does it undo what bears, what does it open, does it hold a load."""

    operation: Operation
    part: str | None
    bears: bool
    wets: tuple[str, ...]
    holds: bool

    @classmethod
    def of(cls, machine: Machine, op: Operation) -> _Fact:
        bears, wets = False, tuple[str, ...]()
        if op.kind in _UNDOING and op.part and op.joint:
            part = machine.parts[op.part]
            joint = part.joints[op.joint]
            bears, wets = joint.kind in _rules()["bearing"], tuple(dict.fromkeys((*part.wet, *joint.wet)))
        return cls(op, op.part, bears, wets, op.kind in _TASKS and _holds(machine, op.subject))


def _half_out(machine: Machine, opened: Sequence[_Fact], closed: Sequence[_Fact]) -> Iterator[Loose]:
    """Parts that hang on some of what held them, or on nothing; parts that are eased are to be minded."""
    away = {fact.part for fact in opened if fact.operation.kind in _FREEING}
    to_come = {fact.part for fact in closed if fact.bears or fact.operation.kind in _FREEING}
    for part in dict.fromkeys(fact.part for fact in opened if fact.bears and fact.part):
        if part not in away and part in to_come:
            heavy = (machine.parts[part].weight_kg or 0) >= _rules()["heavy_from_kg"]
            yield _loose(Left.HALF_OUT if heavy else Left.HALF_OUT_LIGHT, part)
    for fact in opened:
        if fact.operation.kind in _EASING and fact.part and fact.part not in away:
            yield _loose(Left.EASED, fact.part)


def _holds(machine: Machine, name: str) -> bool:
    """Whether a task holds a load up until the way back, by what may not be left to hold it."""
    task = machine.tasks[name]
    if task.undo is None:
        return False
    tool = machine.tools.get(task.tool)
    said = " ".join(filter(None, (name, task.label, task.tool, tool.label if tool else "")))
    words = set(re.findall(r"\w+", said.lower()))
    known = _rules()["words"]
    return not words.isdisjoint(known["holding"]) and words.isdisjoint(known["standing"])


def _fluids(opened: Sequence[_Fact], closed: Sequence[_Fact]) -> Iterator[Loose]:
    """Systems that are half open, open, or drained and still closed."""
    wet_open, wet_closed = ({fluid for fact in facts for fluid in fact.wets} for facts in (opened, closed))
    drained = (fact.operation.subject for fact in opened if fact.operation.kind in _DRAINING)
    for fluid in dict.fromkeys((*drained, *(fluid for fact in opened for fluid in fact.wets))):
        if fluid not in wet_open:
            yield _loose(Left.DRAINED, fluid)
        else:
            yield _loose(Left.FLUID_HALF_OPEN if fluid in wet_closed else Left.FLUID_OPEN, fluid)


def _way_back_only(plan: Refit, after: int) -> Iterator[Loose]:
    """Sealants that must not skin over, fillings not yet looked at, joints that are only snug.

    What is done and in the plan no more comes before its first step.
    """
    place = {step.operation.name: position for position, step in enumerate(plan.steps, start=1)}
    numbered = {step.number: position for position, step in enumerate(plan.steps, start=1)}
    for hold in plan.holds:
        if numbered.get(hold.seal_step, 0) <= after < numbered.get(hold.after_step, 0):
            yield _loose(Left.SEALANT_WET, hold.sealed)
    for name, position in place.items():
        word, _, fluid = name.partition(" ")
        if word == Kind.LEAK_CHECK.value and place.get(f"{Kind.FILL.value} {fluid}", 0) <= after < position:
            yield _loose(Left.FILLED_UNCHECKED, fluid)
    for gate in plan.gates:
        if gate.joint.partition("/")[0] in plan.machine.fluids and gate.joint.endswith(f"/{PLUG}"):
            continue  # a plug gets its torque as it goes in
        names = (f"{kind.value} {gate.joint}" for kind in (Kind.FASTEN, Kind.TIGHTEN))
        run_down = min(
            (place[name] for name in names if name in place), default=numbered[gate.first_step] - 1
        )
        if run_down <= after < numbered[gate.step]:
            yield _loose(Left.SNUG, gate.joint)


def _loose(left: Left, subject: str) -> Loose:
    rules = _rules()
    if left.value in rules["never"]:
        return Loose(left, subject, None)
    weight: Mapping[str, Any] = rules["unsafe"] if left.value in rules["unsafe"] else rules["mind"]
    return Loose(left, subject, Fraction(weight[left.value]))


@cache
def _rules() -> dict[str, Any]:
    text = resources.files("sequencer.plan").joinpath("data/sessions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def sitting_seconds() -> Fraction:
    """What a sitting costs by itself."""
    return Fraction(_rules()["sitting_seconds"])


def over_factor() -> Fraction:
    """What each second over the wished length weighs."""
    return Fraction(_rules()["over_factor"])
