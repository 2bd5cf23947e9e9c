"""Parts and what holds them: joints, the ways that a part can move, what is renewed with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from sequencer.machine.facts.basics import NOTHING_SAID, Need, Place, State, Waiting, WayTexts
from sequencer.machine.facts.condition import UNSAID, Condition
from sequencer.machine.facts.frame import Box, Mesh, Tilt, Vector
from sequencer.machine.facts.joining import Crack, Fastening, Sealing, Torque
from sequencer.machine.facts.of_type import NO_WORD, Varies
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import is_pipe_thread, parse_thread
from sequencer.torque.guard.judgement import Judgement, not_judged


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
    left_hand: bool = False
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

    @cached_property
    def thread_mm(self) -> float | None:
        """The diameter of its thread; None for none, for a pipe thread, and for one that is not known."""
        if self.thread is None or is_pipe_thread(self.thread):
            return None
        try:
            return parse_thread(self.thread).diameter_mm
        except FastenerError:
            return None

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

    def spills(self, joint: Joint | None = None) -> tuple[str, ...]:
        """The fluids that are out before ``joint`` of it is undone; without one, before it moves itself."""
        return tuple(dict.fromkeys((*self.wet, *(joint.wet if joint else ()))))

    @property
    def all_spills(self) -> tuple[str, ...]:
        """The fluids that are out before all of its joints are undone."""
        return tuple(
            dict.fromkeys((*self.wet, *(one for joint in self.joints.values() for one in joint.wet)))
        )

    @property
    def stays_with(self) -> tuple[str, ...]:
        """Its joints that stay fastened while it goes off together with another part."""
        return self.rides.joints if self.rides else ()

    @property
    def mount(self) -> str | None:
        """The part that it may go off together with."""
        return self.rides.on if self.rides else None
