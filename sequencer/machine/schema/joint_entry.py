"""The shape of what holds a part, and of what goes with it: joints, torques, sealants, boxes, drain plugs."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import (
    Count,
    Flag,
    Length,
    Names,
    Paths,
    Pattern,
    Price,
    Seconds,
    Stages,
    Text,
    Texts,
    Time,
    TorqueAlone,
    TorqueStage,
)
from sequencer.machine.schema.frame_fields import (
    Corner,
    Day,
    Degrees,
    Millimetres,
    Share,
    Size,
    Spots,
    Way,
)
from sequencer.machine.schema.key_words import (
    AGAIN_AFTER,
    CAUTION,
    FOUND,
    LABEL,
    NOTE,
    ORDER,
    OVERRIDE,
    PATTERN,
    SEALANT,
    SOURCE,
    STAGES,
    UNSURE,
    VARIES,
    Caution,
    Note,
    brief,
    key,
    with_links,
    with_relations,
)
from sequencer.machine.schema.type_entry import JointVariesEntry
from sequencer.machine.trade import short
from sequencer.machine.trade.links import SEALANT as SEALANTS
from sequencer.machine.trade.relations import JOINT


class BoxEntry(Entry):
    """A box along the axes of the machine's frame, in mm."""

    called = "a box"
    may_be_empty = False
    at: Corner = Field(description="Its corner with the least x, y and z: [0, 120, 40].")
    size: Size = Field(description="How long it is along x, y and z: [40, 20, 10].")


class TiltEntry(Entry):
    """How far a part may be tilted, to come out from under something."""

    called = "a tilt"
    may_be_empty = False
    about: Way = Field(description="The axis that it turns about, as a right-hand screw does: +x.")
    at: Corner = Field(description="A point on the line that it turns about: [0, 120, 40].")
    by: Degrees = Field(description="How many degrees at the most: 15.")


class CrackEntry(Entry):
    """The joint is broken loose while other parts still hold it."""

    called = "a crack"
    while_: Names = Field(alias="while", description="The parts that hold it meanwhile.")
    time: Time | None = key("How long that takes; a third of the joint's time.")


class FitEntry(Entry):
    """How a joint goes together, where that differs from how it comes apart."""

    called = "a fit"
    tool: Text | None = key("The tool for it on the way back: a press, a drift; `hand` for none.")
    time: Time | None = key("How long all of it takes then; as long as undoing.")
    from_: Text | None = key("The position that it is done from on the way back.", "from")


class TorqueEntry(Entry):
    """How a joint is tightened."""

    called = "a torque"
    value: TorqueStage | None = key("One torque with its unit: 47 N.m, 35 lbf.ft.")
    again: Text | None = key("When it is due again after the job: after the first heat cycle.")
    when: Paths | None = key("Tasks, parts, joints, fluids that are back before it; till then it is snug.")
    from_: Text | None = key("The position that it is torqued from; where it is fastened from.", "from")
    stages: Stages | None = key(STAGES)
    order: Texts | None = key(ORDER)
    pattern: Pattern | None = key(PATTERN)
    source: Text | None = key(SOURCE)
    override: Text | None = key(OVERRIDE)
    prevailing: TorqueAlone | None = key(
        "What its self-locking nuts take to turn before they clamp: on top of each torque above, 3 N.m."
    )
    by_hand: Text | None = key("It is tight by hand and wants no figure: why, in your words.")


class RenewEntry(Entry):
    """Something that is not used twice."""

    called = "a part to renew"
    item: Text = Field(description="What it is.")
    count: Count | None = key("How many; 1.")
    price: Price | None = key("The price of one.")
    interval: Text | None = key("How often it is renewed anyway: 100000 km, 5 years.")


@with_links(SEALANTS)
class SealantEntry(Entry):
    """A sealant or threadlocker that goes on when it is fitted."""

    called = "a sealant"
    kind: Text = Field(description="rtv, anaerobic, threadlocker …")
    assemble_within: Seconds | None = key("From putting it on to the end of the first tightening pass.")
    cure: Seconds | None = key("From then until it may be filled or run.")


BOXES = BoxEntry | list[BoxEntry] | None


@with_relations(JOINT, after="sealant")
@with_links(JOINT, after="sealant")
class JointEntry(Entry):
    """What holds a part: fasteners undone together, or a connector, clip, hose, clamp, seal."""

    called = "a joint"
    kind: Text | None = key("bolt, nut, screw, stud, union, connector, clip, clamp, hose, seal, tensioner …")
    label: Text | None = key(LABEL)
    head: Text | None = key("Across flats in mm, or 1/2 in, T25, E10, allen 6, PH2, slot.")
    tool: Text | None = key("A tool under `tools`; it goes before what the head tells.")
    count: Count | None = key("How many fasteners; 1.")
    from_: Text | None = key("The position it is undone from; its part's.", "from")
    time: Time | None = key("Undoing all of it.")
    each: Time | None = key("Undoing one of `count`.")
    thread: Text | None = key("Thread: M8, M10x1.25, 3/8-16 UNC, M10 LH; left-hand: of unknown size.")
    length: Millimetres | None = key("How long its fasteners are under their heads, in mm: 25 mm.")
    class_: Text | None = key("Property class: 8.8, 10.9, grade 5.", "class")
    torque: Annotated[
        TorqueEntry | None, brief(short.torque, TorqueEntry | TorqueStage | list[TorqueStage] | None)
    ] = key("One torque with its unit, or how it is tightened in full.")
    stages: Stages | None = key(STAGES)
    order: Texts | None = key(ORDER)
    pattern: Pattern | None = key(PATTERN)
    source: Text | None = key(SOURCE)
    override: Text | None = key(OVERRIDE)
    friction: Text | None = key("State of the threads: dry, oiled, moly, plated; unknown if left out.")
    engaged_in: Text | None = key("What the thread is cut in: steel, cast iron, aluminium.")
    engagement: Length | None = key("How much of the thread is engaged: 12 mm.")
    tolerance: Share | None = key("How far a torque reading may be off: 5 %, if left out.")
    at: Spots | None = key(
        "Where each fastener is, in mm: [[0, 0], [80, 0]] looking at their heads, or [x, y, z] in the frame."
    )
    axis: Way | None = key("The way from the fastener to the tool, and the way it comes out: +z, -y.")
    reach: Millimetres | None = key("The clear length that the tool needs along the axis, in mm.")
    swing: Millimetres | None = key(
        "The radius that the tool's handle needs, at the end of its reach, in mm."
    )
    draw: Millimetres | None = key("How far the fastener must come out along the axis, in mm.")
    box: Annotated[list[BoxEntry] | None, brief(short.boxes, BOXES)] = key(
        "The room that it takes as long as it is done up: a plug, a hose end. One box or several."
    )
    sealant: Annotated[SealantEntry | None, brief(short.sealant, SealantEntry | Text | None)] = key(SEALANT)
    crack: Annotated[CrackEntry | None, brief(short.crack, CrackEntry | Names | None)] = key(
        "Break it loose while the parts in `while` hold it."
    )
    fit: FitEntry | None = key("How it goes together, where that differs: {tool: drift, time: 5 min}.")
    face: Text | None = key("What it clamps together with others: they are torqued as one set.")
    settle: Flag | None = key("A stay, a hanger: torqued after the others of its part and face.")
    found: Day | None = key(FOUND)
    unsure: Names | None = key(UNSURE)
    varies: JointVariesEntry | None = key(VARIES)
    caution: Caution = key(CAUTION)
    note: Note = key(NOTE)


RENEW = RenewEntry | Text | list[RenewEntry | Text] | None


class PlugEntry(Entry):
    """What closes a drain on the way back."""

    called = "a plug"
    tool: Text | None = key("A tool under `tools`, or a head; what drains it, if left out.")
    torque: Annotated[
        TorqueEntry | None, brief(short.torque, TorqueEntry | TorqueStage | list[TorqueStage] | None)
    ] = key("One torque with its unit, or how it is tightened in full.")
    renew: Annotated[list[RenewEntry] | None, brief(short.renewals, RENEW)] = key("Its new ring.")
    thread: Text | None = key("Thread: M14x1.5, G 1/4.")
    again_after: Text | None = key(AGAIN_AFTER)
