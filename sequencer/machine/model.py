"""The machine as the rest of the program sees it: immutable, complete, every default filled in.

Times are exact: a ``Fraction`` of seconds, because slackening takes a third of a joint's time and plans
are compared for equality. Every object knows the ``Place`` in the file that it came from, so that a
message three rooms away can still name the line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from sequencer.machine.facts.basics import (
    NOTHING_SAID,
    Aim,
    Atom,
    Need,
    Place,
    State,
    Subject,
    Waiting,
    WayTexts,
)
from sequencer.machine.facts.condition import UNSAID, Condition
from sequencer.machine.facts.joining import Crack, Fastening, Sealing, Torque
from sequencer.machine.facts.learned import Learned
from sequencer.machine.facts.of_type import NO_TYPE, FromType
from sequencer.machine.facts.parts import Freedom, Joint, Part, Renewal, Ride
from sequencer.machine.facts.taken import NOT_TAKEN_APART, TakenApart
from sequencer.machine.facts.tasks import Task, Undo
from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.facts.typical import TypicalJob

__all__ = [  # what else the model is made of
    "Aim",
    "Atom",
    "Crack",
    "Fastening",
    "Freedom",
    "Joint",
    "Need",
    "Part",
    "Place",
    "Renewal",
    "Ride",
    "Sealing",
    "State",
    "Subject",
    "Task",
    "Torque",
    "Undo",
    "WayTexts",
]

HAND = "hand"
"""The tool that is no tool: taking it up or putting it down costs nothing of its own."""


@dataclass(frozen=True)
class FluidWork(Waiting):
    """Draining or filling: where from, with what, how long, and what is in the way."""

    position: str
    tool: str
    seconds: Fraction
    waits: tuple[Need, ...] = ()


PLUG = "plug"
"""The name of a drain's plug among joints: ``oil/plug``."""


@dataclass(frozen=True)
class Fluid:
    """A fluid that is drained before what it wets is opened, and filled after it; waste without ``fill``.

    ``plug`` is the joint that closes its drain, ``renew`` what is not used twice there. ``with_parts`` are
    renewed whenever it is drained. ``again_after`` is the part after which it is drained once more.
    """

    name: str
    drain: FluidWork
    fill: FluidWork | None
    place: Place
    label: str | None = None
    volume_litres: float | None = None
    volume_text: str | None = None
    cautions: WayTexts = NOTHING_SAID
    notes: WayTexts = NOTHING_SAID
    plug: Joint | None = None
    renew: tuple[Renewal, ...] = ()
    with_parts: tuple[str, ...] = ()
    again_after: str | None = None


@dataclass(frozen=True)
class Tool:
    """A tool by name, and its count. Those that share a ``drive`` are swapped on it; ``None`` shares none.

    ``across_mm`` is how wide the head is that it turns; None where nothing says so.
    """

    name: str
    label: str
    drive: str | None = None
    count: int = 1
    across_mm: float | None = None
    cautions: WayTexts = NOTHING_SAID
    notes: WayTexts = NOTHING_SAID


@dataclass(frozen=True)
class Position:
    """Where a person stands or lies to work; ``room`` is how many can do so at once.

    ``needs`` names the tasks that are done, and ``drained`` the fluids that are out, before anybody works
    there. Passing through is not working there. Who is there is ``below`` what hangs. The position of a file
    that names none has no ``place`` in it.
    """

    name: str
    label: str
    enter: Fraction = Fraction(0)
    leave: Fraction = Fraction(0)
    cautions: WayTexts = NOTHING_SAID
    room: int = 1
    below: bool = False
    needs: tuple[str, ...] = ()
    drained: tuple[str, ...] = ()
    notes: WayTexts = NOTHING_SAID
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Pace:
    """The person's pace, in seconds: see the format page for what each is charged for."""

    pick_up: Fraction = Fraction(8)
    put_down: Fraction = Fraction(4)
    swap: Fraction = Fraction(7)
    walk: Fraction = Fraction(20)
    set_up: Fraction = Fraction(300)
    clear_up: Fraction = Fraction(300)


@dataclass(frozen=True)
class Machine:
    """A whole machine file.

    Attributes:
        walks: Walking seconds for pairs that have a time of their own, both ways present.
        tools: Every tool that anything in the file uses, declared or told from a head; ``hand`` is not in it.
        first: The tasks that come before everything else.
        spreads: Times that are ranges: how many times the lower end the upper one is.
        taken_apart: How it came apart on a job, where that is known.
        from_type: The type that the file was made from, and what of it nobody confirmed.
        jobs: What is often done on it, by name.
        learned: What is known of the person who works on it; None: nothing.
        revision: By which a print tells one state of the file from another; it makes no machine another.
    """

    name: str
    file: str
    positions: Mapping[str, Position]
    parts: Mapping[str, Part]
    about: str = ""
    start: str | None = None
    pace: Pace = Pace()
    walks: Mapping[tuple[str, str], Fraction] = field(default_factory=dict)
    tools: Mapping[str, Tool] = field(default_factory=dict)
    fluids: Mapping[str, Fluid] = field(default_factory=dict)
    tasks: Mapping[str, Task] = field(default_factory=dict)
    first: tuple[str, ...] = ()
    spreads: Mapping[TimeOf, Fraction] = field(default_factory=dict)
    taken_apart: TakenApart = NOT_TAKEN_APART
    from_type: FromType = NO_TYPE
    condition: Condition = UNSAID
    jobs: Mapping[str, TypicalJob] = field(default_factory=dict)
    learned: Learned | None = None
    revision: str = field(default="", compare=False)

    def joint(self, part: str, name: str) -> Joint:
        """The joint ``name`` of ``part``, or the plug of a fluid's drain; it must exist."""
        plug = self.fluids[part].plug if name == PLUG and part in self.fluids else None
        return plug or self.parts[part].joints[name]

    def joint_at(self, path: str) -> Joint:
        """The joint ``part/joint``, or the plug of a fluid's drain; it must exist."""
        where = Subject(path)
        return self.joint(where.part, where.joint)

    def own_joint(self, path: str) -> Joint | None:
        """The joint ``part/joint`` of a part; None where the file has none."""
        where = Subject(path)
        owner = self.parts.get(where.part)
        return owner.joints.get(where.joint) if owner else None

    def sealing(self, path: str) -> Sealing | None:
        """What is sealed of a part, or at its ``part/joint``; it must exist."""
        where = Subject(path)
        return (self.joint_at(path) if where.joint else self.parts[where.part]).sealing

    def riders(self, part: str) -> tuple[Part, ...]:
        """The parts that may go off together with ``part``, those that ride on a rider included."""
        own = [other for other in self.parts.values() if other.mount == part]
        return tuple(rider for one in own for rider in (one, *self.riders(one.name)))

    def carriers(self, part: str) -> tuple[str, ...]:
        """The parts with any one of which ``part`` may go off, the nearest first."""
        mount = self.parts[part].mount
        return (mount, *self.carriers(mount)) if mount else ()
