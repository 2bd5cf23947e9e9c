"""People at work, drawn at random: how long each step of a plan really takes them.

Written from what is known of such work, not from what the program takes it for; the program is told of none
of it. All figures here are common practice, rounded, unless they say otherwise:

* A person is a factor from 0.6 to 2.5 on all work, log-uniform: nothing is claimed of where in that range
  most people are, and the slow and the quick, who are the hard ones, are as frequent as others. Half are
  slower than 1.22. `Crowd.MIDDLING` is another reading: log-normal about the same middle, the one in twenty
  beyond each end drawn anew. `Crowd.CENTRED` keeps the width, and half are slower than the file's own times.
* A machine has a state of its own: a factor on the work on its parts (one in ten above 1.26, one below 0.79),
  and going with it one on how often fasteners make trouble. Rust and age are the file's; where that says
  nothing, they are drawn.
* A step's time is log-normal about the plan's own figure. The ends of a range in the file are one time in
  ten each; a plain time has the width of its kind of work.
* Fasteners are seized, rounded or broken; the ways out are tried in the order of `trouble.toml` until one
  works. Of the time that something has to soak a third is lost; the rest goes into other steps.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from functools import cache
from importlib.resources import files
from math import exp, log
from typing import Any

from sequencer.graph.operations import Kind
from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.model import Joint, Machine
from sequencer.plan.plan import Plan, Step
from sequencer.quantities import parse_time

TENTH = 1.2816
TWENTIETH = 1.645
"""A standard normal is above this one time in ten; one time in twenty."""
TENTH_OF_T = 1.638
"""So is Student's t of 3 degrees."""
FARTHEST = 60.0
"""No step takes more than so many times its middle: a forgotten cup of tea aside, somebody gives up."""
SLOWEST, QUICKEST = 2.5, 0.6

WIDE = {
    **dict.fromkeys(("bolt", "nut", "screw", "stud", "fastener"), 3.0),
    **dict.fromkeys(("connector", "clip", "hose", "seal", "union"), 4.0),
    **dict.fromkeys(("clamp", "cable", "plug", "tensioner", "pin"), 3.0),
}
"""Undoing or doing up a joint: the longer end by the shorter one."""
WIDE_WORK = {
    Kind.TASK: 2.0,
    Kind.RESTORE: 2.0,
    Kind.DRAIN: 1.6,
    Kind.FILL: 1.6,
    Kind.TORQUE: 2.0,
    Kind.CLOSE: 2.0,
}
WIDE_REST, WIDE_CHANGE = 2.8, 2.5

AT_FIRST = {Kind.CRACK, Kind.SLACKEN, Kind.UNDO}
"""Trouble shows when a joint is first moved."""
OFTEN = {
    "bolt": 0.006,
    "nut": 0.008,
    "stud": 0.02,
    "screw": 0.01,
    "fastener": 0.007,
    "union": 0.025,
    "banjo": 0.004,
    "plug": 0.015,
    "clamp": 0.01,
    "hose": 0.03,
}
"""One of them makes trouble: cold, light rust, six years old."""
BY_RUST = {"none": 0.4, "light": 1.0, "heavy": 4.0}
HOT, WET, SMALL, TIGHT, SLIPPING = 6.0, 1.5, 1.5, 1.3, 1.6
HOT_WORDS = ("exhaust", "manifold", "down-pipe", "turbo")
MOST = 0.5
ASKEW = 0.002
"""A fastener binds in its thread on the way back."""
UNTHREADED = {"hose", "clamp"}
HELPS = {
    "penetrant": 0.45,
    "shock": 0.5,
    "grip": 0.65,
    "heat": 0.6,
    "new-slot": 0.6,
    "extract": 0.7,
    "chase": 0.8,
}
"""A way out works; the last of those that are left always does."""
SHEARS = 0.15
"""What was seized breaks, where a way out did not help."""
LOST_WAIT = 0.33
NO_WAY = 1800.0
"""With file and hand drill, where heat and sparks have no place and nothing else is left."""


class Crowd(Enum):
    """Who the people are."""

    EVEN = "log-uniform from 0.6 to 2.5"
    MIDDLING = "log-normal, 0.6 and 2.5 the ends"
    CENTRED = "log-uniform, as wide, and as often quicker as slower than the file"


class Tails(Enum):
    """How a step's time spreads."""

    NORMAL = "log-normal"
    STUDENT = "Student's t of 3 degrees for the normal: wider, and far out much more often"
    BEYOND = "Student's t too, narrowed so that one in ten each lies beyond the same ends"


@dataclass(frozen=True)
class World:
    """How things go there; ``trouble`` is how many times as often as usual a fastener makes any."""

    crowd: Crowd = Crowd.EVEN
    tails: Tails = Tails.NORMAL
    trouble: float = 1

    def person(self, rng: random.Random) -> float:
        """A person's factor."""
        low, high = log(QUICKEST), log(SLOWEST)
        if self.crowd is not Crowd.MIDDLING:
            return exp(rng.uniform(low, high) - ((low + high) / 2 if self.crowd is Crowd.CENTRED else 0))
        while not low <= (drawn := rng.gauss((low + high) / 2, (high - low) / 2 / TWENTIETH)) <= high:
            pass
        return exp(drawn)

    def noise(self, rng: random.Random, wide: float) -> float:
        """A factor about 1 whose ends, one time in ten each, are ``wide`` apart; more for `STUDENT`."""
        drawn = rng.gauss(0, 1)
        if self.tails is not Tails.NORMAL:
            drawn /= (sum(rng.gauss(0, 1) ** 2 for _ in range(3)) / 3) ** 0.5
        if self.tails is Tails.BEYOND:
            drawn *= TENTH / TENTH_OF_T
        return min(FARTHEST, exp(drawn * log(wide) / 2 / TENTH))


HEAVY = World(tails=Tails.STUDENT, trouble=2)


@dataclass(frozen=True)
class Job:
    """One person's job: the true seconds of each step of the plan, in its order, and the troubles met."""

    person: float
    taken: tuple[float, ...]
    troubles: int

    @property
    def seconds(self) -> float:
        return sum(self.taken)


@dataclass(frozen=True)
class Thing:
    """One machine as it stands there: its state, and its rust and years where the file says nothing."""

    state: float
    rust: str
    years: float

    @classmethod
    def drawn(cls, rng: random.Random) -> Thing:
        """Any machine of a kind."""
        return cls(rng.gauss(0, 1), rng.choices(list(BY_RUST), (1, 2, 1))[0], rng.uniform(1, 20))


def draw(
    plan: Plan, rng: random.Random, world: World, person: float | None = None, thing: Thing | None = None
) -> Job:
    """Somebody does the job on one machine of this kind; who and which are drawn where not given."""
    person = world.person(rng) if person is None else person
    thing = thing or Thing.drawn(rng)
    state, rust, years = thing.state, thing.rust, thing.years
    taken, troubles, moved = [], 0, set()
    for step in plan.steps:
        own = float(step.seconds) * world.noise(rng, _wide(plan.machine, step))
        own *= exp(0.18 * state) if step.operation.part else 1.0
        change = float(step.change_seconds) * world.noise(rng, WIDE_CHANGE)
        often = exp(0.5 * state) * world.trouble
        fresh = step.operation.kind in AT_FIRST and step.operation.subject not in moved
        moved.add(step.operation.subject)
        met = list(_troubles(plan.machine, step, rng, often, rust, years)) if fresh else []
        met += _askew(plan.machine, step, rng, often)
        trouble = sum(_way_out(plan.machine, step, one, rng, world, n == 0) for n, one in enumerate(met))
        troubles += len(met)
        taken.append(person * (own + change + trouble))
    return Job(person, tuple(taken), troubles)


def _joint(machine: Machine, step: Step) -> Joint | None:
    operation = step.operation
    return machine.joint(operation.part, operation.joint) if operation.part and operation.joint else None


def _wide(machine: Machine, step: Step) -> float:
    kind, joint = step.operation.kind, _joint(machine, step)
    said = machine.spreads.get(TimeOf(kind.value, step.operation.subject))
    if said is None and joint and kind not in WIDE_WORK:
        said = machine.spreads.get(TimeOf("undo", joint.path))
    if said is not None and kind not in {Kind.TORQUE, Kind.CLOSE}:
        return float(said)
    if kind in WIDE_WORK:
        return WIDE_WORK[kind]
    return WIDE.get(joint.kind, WIDE_REST) if joint else WIDE_REST


def _troubles(
    machine: Machine, step: Step, rng: random.Random, often: float, rust: str, years: float
) -> Iterable[str]:
    """The states of those fasteners of a step that make trouble."""
    joint = _joint(machine, step)
    if joint is None or joint.kind not in OFTEN:
        return
    part = machine.parts.get(joint.part)
    said = part.condition.over(machine.condition) if part else machine.condition
    head = str(joint.head or "")
    small = head in {"8", "10"} or joint.thread in {"M5", "M6"}
    slips = head[:2] in {"T2", "PH", "sl", "al"} or "allen" in head
    hot = any(word in f"{joint.part} {joint.label}" for word in HOT_WORDS)
    rate = OFTEN[joint.kind] * often * BY_RUST[said.rust or rust]
    rate *= 0.7 + (years if said.years is None else said.years) / 20
    rate *= (HOT if hot else 1) * (WET if joint.position == "under" else 1) * (SLIPPING if slips else 1)
    rate *= SMALL if small else TIGHT if head in {"18", "19", "21", "22", "24"} else 1
    states = (
        (0.6, 0.1, 0.3)
        if hot
        else (0.25, 0.65, 0.1)
        if slips
        else (0.3, 0.4, 0.3)
        if small
        else (0.55, 0.25, 0.2)
    )
    for _ in range(joint.count):
        if rng.random() < min(MOST, rate):
            yield "stuck" if joint.kind == "hose" else rng.choices(("seized", "rounded", "broken"), states)[0]


def _askew(machine: Machine, step: Step, rng: random.Random, often: float) -> list[str]:
    """On the way back: those that bind askew."""
    joint = _joint(machine, step)
    if step.operation.kind is not Kind.FASTEN or not joint or joint.kind not in OFTEN.keys() - UNTHREADED:
        return []
    return ["cross-threaded" for _ in range(joint.count) if rng.random() < ASKEW * often]


def _way_out(
    machine: Machine, step: Step, state: str, rng: random.Random, world: World, first: bool
) -> float:
    """Seconds until a fastener is out, at factor 1; the others of its joint soak with the ``first``."""
    joint = _joint(machine, step)
    assert joint is not None
    spent, ways = 0.0, _ways(joint, state)
    while ways:
        way, *ways = ways
        spent += float(parse_time(way["time"])) * world.noise(rng, 3.0)
        spent += LOST_WAIT * float(parse_time(way["wait"])) if first and "wait" in way else 0
        if rng.random() < HELPS.get(way["name"], 1.0) or (
            not ways and way["name"] in {"drill-out", "hose-cut"}
        ):
            return spent
        if state == "seized" and rng.random() < SHEARS:
            state, ways = "broken", [one for one in _ways(joint, "broken") if one["name"] != way["name"]]
    return spent + NO_WAY * world.noise(rng, 3.0)


def _ways(joint: Joint, state: str) -> list[dict[str, Any]]:
    """The ways out that are for this, in the order of their trying; no heat where there is a hazard."""
    table = _table()
    near = set(f"{joint.part} {joint.name} {joint.label} {joint.kind}".replace("-", " ").split())
    cold = any(near & set(hazard["words"]) for hazard in table["hazard"])
    found = [way for way in table["way"] if state in way["for"] and not (cold and way.get("heat"))]
    return [way for way in found if (joint.kind == "hose") == ("kinds" in way)]


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(files("sequencer.plan").joinpath("data", "trouble.toml").read_text("utf-8"))
