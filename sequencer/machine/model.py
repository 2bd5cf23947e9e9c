"""The machine as the rest of the program sees it: immutable, complete, every default filled in.

Times are exact: a ``Fraction`` of seconds, because slackening takes a third of a joint's time and plans
are compared for equality. Every object knows the ``Place`` in the file that it came from, so that a
message three rooms away can still name the line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from sequencer.machine.facts.basics import NOTHING_SAID, Atom, Need, Place, State, Waiting, WayTexts
from sequencer.machine.facts.condition import UNSAID, Condition
from sequencer.machine.facts.frame import Box, Mesh, Tilt, Vector
from sequencer.machine.facts.joining import Crack, Fastening, Sealing, Torque
from sequencer.machine.facts.learned import Learned
from sequencer.machine.facts.of_type import NO_TYPE, NO_WORD, FromType, Varies
from sequencer.machine.facts.taken import NOT_TAKEN_APART, TakenApart
from sequencer.machine.facts.typical import TypicalJob
from sequencer.torque.judgement import Judgement, not_judged

__all__ = [  # what is defined here needs no mention
    "Atom",
    "Crack",
    "Fastening",
    "Need",
    "Place",
    "Sealing",
    "State",
    "Torque",
    "WayTexts",
]

HAND = "hand"
"""The tool that is no tool: taking it up or putting it down costs nothing of its own."""


@dataclass(frozen=True)
class Joint(Waiting):
    """What holds a part: fasteners undone together, or a connector, clip, hose, clamp, seal.

    ``seconds`` is the whole of the joint's time; ``seconds_from`` is ``file`` or ``default``.
    ``length_mm`` is that of its fasteners under their heads. ``needs`` names tasks, those under ``before`` of
    a task included. ``wet`` names fluids. ``friction``, ``engaged_in`` and ``engagement`` are the author's
    words; ``at`` holds the fasteners' places in mm.

    In the machine's frame, in mm: ``spots`` are the fasteners' places (one for all, or one each), ``axis``
    the way from them to the tool, ``reach`` the clear length that the tool needs along it, ``swing`` the
    radius of its handle at the end of that, ``draw`` how far the fastener comes out. ``boxes`` are the room
    that the joint takes as long as it is done up. ``tolerance`` is the share that a torque reading may be
    off (None: the usual one); ``found`` the day it was found on a job, where the author had not drawn it;
    ``unsure`` the keys that nobody said anything about, ``varies`` what real ones of the type have otherwise.

    ``judgement`` is what the strength guard makes of ``torque``, and of the fastener where there is none. A
    torque that it refuses is in no machine: the file was not read. ``by_hand`` says why it wants no figure
    and is done up by hand (None: nobody said so). ``fit`` is the way back's own place, tool and time, where
    the file gives one. Joints with one ``face`` are torqued as a set, what only has to ``settle`` after it.
    """

    name: str
    part: str
    kind: str
    tool: str
    position: str
    seconds: Fraction
    place: Place
    seconds_from: str = "file"
    count: int = 1
    label: str | None = None
    head: str | None = None
    thread: str | None = None
    length_mm: Fraction | None = None
    property_class: str | None = None
    torque: Torque | None = None
    judgement: Judgement = field(default_factory=not_judged)
    by_hand: str | None = None
    friction: str | None = None
    engaged_in: str | None = None
    engagement: str | None = None
    at: tuple[tuple[float, float], ...] = ()
    spots: tuple[Vector, ...] = ()
    axis: str | None = None
    reach: Fraction | None = None
    swing: Fraction | None = None
    draw: Fraction | None = None
    boxes: tuple[Box, ...] = ()
    tolerance: Fraction | None = None
    sealing: Sealing | None = None
    waits: tuple[Need, ...] = ()
    wet: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    crack: Crack | None = None
    cautions: WayTexts = NOTHING_SAID
    notes: WayTexts = NOTHING_SAID
    found: str | None = None
    unsure: tuple[str, ...] = ()
    varies: Varies = NO_WORD
    fit: Fastening | None = None
    face: str | None = None
    settle: bool = False

    @property
    def together(self) -> Fastening:
        """How it goes together: as ``fit`` says, or the way that it came apart."""
        return self.fit or Fastening(self.position, self.tool, self.seconds, self.tool)

    @property
    def torqued_from(self) -> str:
        """The position that it gets its torque from."""
        return (self.torque.position if self.torque else None) or self.together.position

    @property
    def path(self) -> str:
        """The name by which other parts of the file refer to the joint: ``part/joint``."""
        return f"{self.part}/{self.name}"


@dataclass(frozen=True)
class Freedom:
    """A state short of ``off``: the joints to slacken (``loose``) or to undo (``aside``), its own time.

    ``by`` is how far the part has moved then, in mm (None: nobody has said), ``via`` where it comes past.
    """

    joints: tuple[str, ...]
    seconds: Fraction
    place: Place
    by: Vector | None = None
    via: tuple[Vector, ...] = ()


@dataclass(frozen=True)
class Ride:
    """A part goes off together with the part ``on``: its ``joints`` stay fastened, its others are undone."""

    on: str
    joints: tuple[str, ...]
    place: Place


@dataclass(frozen=True)
class Renewal:
    """Something that is not used twice; ``price`` is in whatever money the author thinks in.

    ``interval`` says how often it is renewed anyway, in the author's words.
    """

    item: str
    count: int = 1
    price: Fraction | None = None
    interval: str | None = None


@dataclass(frozen=True)
class Part(Waiting):
    """A thing that comes off. ``seconds`` is the time of taking it away once nothing holds it.

    ``tie`` says where and how it is held when it is moved aside. ``hold`` says whether somebody has to hold
    it once nothing else does (None: told from its weight and joints). ``prepare`` is its bench list: what is
    checked or cleaned before it is fitted.

    ``boxes`` or the shape ``mesh`` are the room that it takes, ``out`` the ways that it can leave, ``tilt``
    how far it may be tilted for that. ``seen`` says where somebody has looked at it from (None: nobody has
    said). ``people`` is how many it takes to lift it off, ``found`` the day it was found on a job, where the
    author had not drawn it; ``unsure`` the keys that nobody said anything about, ``varies`` what real ones of
    the type have otherwise. ``condition`` is its own, where that is not the machine's.
    """

    name: str
    position: str
    seconds: Fraction
    place: Place
    joints: Mapping[str, Joint] = field(default_factory=dict)
    label: str | None = None
    seconds_from: str = "default"
    weight_kg: float | None = None
    waits: tuple[Need, ...] = ()
    loose: Freedom | None = None
    aside: Freedom | None = None
    tie: str | None = None
    hold: bool | None = None
    prepare: tuple[str, ...] = ()
    wet: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    renew: tuple[Renewal, ...] = ()
    sealing: Sealing | None = None
    cautions: WayTexts = NOTHING_SAID
    notes: WayTexts = NOTHING_SAID
    subsystem: str | None = None
    boxes: tuple[Box, ...] = ()
    out: tuple[str, ...] = ()
    tilt: Tilt | None = None
    mesh: Mesh | None = None
    seen: tuple[str, ...] | None = None
    people: int = 1
    found: str | None = None
    unsure: tuple[str, ...] = ()
    varies: Varies = NO_WORD
    rides: Ride | None = None
    condition: Condition = UNSAID

    def states(self) -> tuple[State, ...]:
        """The states beyond fitted that the part can be in, lowest first; ``OFF`` is always one."""
        states = [State.LOOSE] if self.loose else []
        states += [State.ASIDE] if self.aside else []
        return (*states, State.OFF)

    @property
    def all_waits(self) -> tuple[Need, ...]:
        """What it and its joints wait for by a relation."""
        return (*self.waits, *(need for joint in self.joints.values() for need in joint.waits))

    @property
    def wet_with(self) -> tuple[str, ...]:
        """The fluids that it or one of its joints is wet with."""
        return tuple(
            dict.fromkeys((*self.wet, *(fluid for one in self.joints.values() for fluid in one.wet)))
        )


@dataclass(frozen=True)
class Undo:
    """What the reassembly does in return for a task."""

    label: str
    position: str
    tool: str
    seconds: Fraction


@dataclass(frozen=True)
class Task(Waiting):
    """Work that takes nothing off.

    ``before`` is kept as written; its effect is in the ``needs`` of parts and joints. ``after`` names the
    tasks that are done before it whenever it is done. ``serves`` names joints, ``part/joint``: good practice
    sets it up for them and puts it away after them. ``carries`` names the parts whose weight it takes; one
    that is ``rated`` needs no watching.

    With ``only_back`` it belongs to the way back alone: after the fluids in ``filled`` are filled and the
    tasks in ``undone`` are undone (those of the way back: done). ``back_before`` names parts fitted after it.
    """

    name: str
    position: str
    tool: str
    seconds: Fraction
    place: Place
    label: str | None = None
    before: tuple[Atom, ...] = ()
    serves: tuple[str, ...] = ()
    carries: tuple[str, ...] = ()
    rated: bool = False
    waits: tuple[Need, ...] = ()
    undo: Undo | None = None
    cautions: WayTexts = NOTHING_SAID
    notes: WayTexts = NOTHING_SAID
    people: int = 1
    after: tuple[str, ...] = ()
    only_back: bool = False
    filled: tuple[str, ...] = ()
    undone: tuple[str, ...] = ()
    back_before: tuple[str, ...] = ()


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
    """A tool by name, and its count. Those that share a ``drive`` are swapped on it; ``None`` shares none."""

    name: str
    label: str
    drive: str | None = None
    count: int = 1
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
        spreads: Times that are ranges, by operation: see `machine.ranges`.
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
    spreads: Mapping[str, Fraction] = field(default_factory=dict)
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

    def riders(self, part: str) -> tuple[Part, ...]:
        """The parts that may go off together with ``part``, those that ride on a rider included."""
        own = [other for other in self.parts.values() if other.rides and other.rides.on == part]
        return tuple(rider for one in own for rider in (one, *self.riders(one.name)))

    def carriers(self, part: str) -> tuple[str, ...]:
        """The parts with any one of which ``part`` may go off, the nearest first."""
        rides = self.parts[part].rides
        return (rides.on, *self.carriers(rides.on)) if rides else ()
