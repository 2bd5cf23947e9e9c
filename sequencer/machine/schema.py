"""The shape of a machine file, as pydantic models: every key, what it takes, and a line that explains it.

Nothing here looks at what names mean; that is for the checks. Values keep the defaults of the page apart:
what is left out is ``None`` here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from sequencer.machine import short
from sequencer.machine.entry import Entry, inner, is_entry, narrow
from sequencer.machine.fields import (
    Count,
    Kilograms,
    Length,
    Litres,
    Names,
    Needs,
    Paths,
    Pattern,
    Price,
    Seconds,
    Stages,
    Text,
    Texts,
    Time,
    TorqueStage,
    Walks,
)
from sequencer.machine.frame_fields import (
    Corner,
    Day,
    Millimetres,
    People,
    Share,
    Shift,
    Size,
    Spots,
    Way,
    Ways,
)


def _key(says: str, alias: str | None = None) -> Any:  # noqa: ANN401 - as pydantic's own Field
    return Field(default=None, alias=alias, description=says)


def _short(read: Callable[[object], object], also: object) -> BeforeValidator:
    """A key that can be written short: ``read`` makes an entry of it, editors are told of ``also``."""
    return BeforeValidator(read, json_schema_input_type=also)


_SEALANT = "What goes on when it is fitted: rtv, or {kind: rtv, assemble_within: 10 min, cure: 24 h}."
_LABEL = "What a person calls it."
_NOTE = "Free text for whoever takes it apart, or a list; {in: ..., back: ...} to speak to each way."
_CAUTION = "What can hurt someone or break something: a text or a list; or {in: ..., back: ...} by ways."
_FROM = "The position that it is done from."
_TOOL = "A tool under `tools`, or a head: T25, 13, allen 6. Left out for a task: by hand."
_TIME = "How long it takes, in seconds unless a unit is given: 90 s, 5 min, 1 h 30 min, 1 to 4 min."
_BEHIND = (
    "What must be clear before this can be reached: parts, joints (motor/plug), {motor: loose}, {any: [...]}."
)
_WET = "Fluids that are drained before this is opened."
_NEEDS = "Tasks that come before this is touched."
_STAGES = "Torques and angles in order: [20 N.m, 40 N.m, 90 deg]."
_ORDER = "Labels of the fasteners in the order of tightening."
_PATTERN = "Order of tightening where no list is given: spiral, cross, line."
_SOURCE = "Where the figure comes from."
_OVERRIDE = "Why a torque beyond the fastener's proof is meant all the same."
_PEOPLE = "How many people it takes; 1."
_FOUND = "The day on which it was found on a job, where the author had not drawn it: 2026-11-25."


class SaidEntry(Entry):
    """Texts for those on the way in, and for those on the way back."""

    called = "a text by ways"
    in_: Texts | None = _key("For the way in: a text, or a list.", "in")
    back: Texts | None = _key("For the way back: a text, or a list.")


_SAID = SaidEntry | Text | list[Text] | None
_Caution = Annotated[SaidEntry | None, _short(short.caution, _SAID)]
_Note = Annotated[SaidEntry | None, _short(short.note, _SAID)]


class PaceEntry(Entry):
    """How long you take for a change of tool or place."""

    called = "the pace"
    pick_up: Seconds | None = _key("Taking a tool in hand; 8 s.")
    put_down: Seconds | None = _key("Putting a tool down; 4 s.")
    swap: Seconds | None = _key("Another bit on the same drive; 7 s.")
    walk: Seconds | None = _key("Between two positions that have no time of their own; 20 s.")


class PositionEntry(Entry):
    """Where you stand or lie to work."""

    called = "a position"
    label: Text | None = _key(_LABEL)
    enter: Seconds | None = _key("Getting there, besides the walk: lying down, climbing in.")
    leave: Seconds | None = _key("Getting out again.")
    room: People | None = _key("How many people can work there at once; 1.")
    caution: _Caution = _key(_CAUTION)
    note: _Note = _key(_NOTE)


class ToolEntry(Entry):
    """A tool that a joint's head can't tell."""

    called = "a tool"
    label: Text | None = _key(_LABEL)
    drive: Text | None = _key(
        "What it sits on: tools on one drive are swapped, not put down. `none` for a tool alone."
    )
    count: Count | None = _key("How many of it there are; 1.")
    caution: _Caution = _key(_CAUTION)
    note: _Note = _key(_NOTE)


class FluidWorkEntry(Entry):
    """Draining or filling."""

    called = "a drain or a fill"
    from_: Text | None = _key(_FROM, "from")
    tool: Text | None = _key(_TOOL)
    time: Time | None = _key(_TIME)
    behind: Needs | None = _key(_BEHIND)


class WasteEntry(FluidWorkEntry):
    """``none``: it is not filled again."""


def _filling(raw: object) -> object:
    return WasteEntry() if isinstance(raw, str) and raw.strip().casefold() == "none" else raw


class UndoEntry(Entry):
    """What the reassembly does in return for a task."""

    called = "an undo"
    label: Text | None = _key(_LABEL)
    from_: Text | None = _key(_FROM, "from")
    tool: Text | None = _key(_TOOL)
    time: Time | None = _key(_TIME)


class TaskEntry(Entry):
    """Work that takes nothing off."""

    called = "a task"
    open_keys = frozenset({"undo"})
    label: Text | None = _key(_LABEL)
    from_: Text | None = _key(_FROM, "from")
    tool: Text | None = _key(_TOOL)
    time: Time | None = _key(_TIME)
    before: Paths | None = _key("Parts and joints that wait for it, if they are touched at all.")
    behind: Needs | None = _key(_BEHIND)
    undo: UndoEntry | None = _key("What the reassembly does in return.")
    people: People | None = _key(_PEOPLE)
    caution: _Caution = _key(_CAUTION)
    note: _Note = _key(_NOTE)


class FreedomEntry(Entry):
    """A state that the part goes into without coming off."""

    called = "a state"
    joints: Names | None = _key("The joints to slacken (loose) or to undo (aside) for it.")
    time: Time | None = _key("Moving the part; 0 s.")
    by: Shift | None = _key("How far it has moved then, in mm of the frame: [0, 0, 60].")


class RidesEntry(Entry):
    """It may go off together with another part."""

    called = "a ride"
    on: Text = Field(description="The part that it goes off with.")
    with_: Names = Field(alias="with", description="Its joints that stay fastened; its others are undone.")


class BoxEntry(Entry):
    """A box along the axes of the machine's frame, in mm."""

    called = "a box"
    may_be_empty = False
    at: Corner = Field(description="Its corner with the least x, y and z: [0, 120, 40].")
    size: Size = Field(description="How long it is along x, y and z: [40, 20, 10].")


class CrackEntry(Entry):
    """The joint is broken loose while other parts still hold it."""

    called = "a crack"
    while_: Names = Field(alias="while", description="The parts that hold it meanwhile.")
    time: Time | None = _key("How long that takes; a third of the joint's time.")


class FitEntry(Entry):
    """How a joint goes together, where that differs from how it comes apart."""

    called = "a fit"
    tool: Text | None = _key("The tool for it on the way back: a press, a drift; `hand` for none.")
    time: Time | None = _key("How long all of it takes then; as long as undoing.")
    from_: Text | None = _key("The position that it is done from on the way back.", "from")


class TorqueEntry(Entry):
    """How a joint is tightened."""

    called = "a torque"
    value: TorqueStage | None = _key("One torque with its unit: 47 N.m, 35 lbf.ft.")
    again: Text | None = _key("When it is due once more after the job: after the first heat cycle.")
    stages: Stages | None = _key(_STAGES)
    order: Texts | None = _key(_ORDER)
    pattern: Pattern | None = _key(_PATTERN)
    source: Text | None = _key(_SOURCE)
    override: Text | None = _key(_OVERRIDE)


class RenewEntry(Entry):
    """Something that is not used twice."""

    called = "a part to renew"
    item: Text = Field(description="What it is.")
    count: Count | None = _key("How many; 1.")
    price: Price | None = _key("The price of one.")
    interval: Text | None = _key("How often it is renewed anyway: 100000 km, 5 years.")


class SealantEntry(Entry):
    """A sealant or threadlocker that goes on when it is fitted."""

    called = "a sealant"
    kind: Text = Field(description="rtv, anaerobic, threadlocker …")
    assemble_within: Seconds | None = _key("From putting it on to the end of the first tightening pass.")
    cure: Seconds | None = _key("From then until it may be filled or run.")


_BOXES = BoxEntry | list[BoxEntry] | None


class JointEntry(Entry):
    """What holds a part: fasteners undone together, or a connector, clip, hose, clamp, seal."""

    called = "a joint"
    kind: Text | None = _key("bolt, nut, screw, stud, union, connector, clip, clamp, hose, seal, tensioner …")
    label: Text | None = _key(_LABEL)
    head: Text | None = _key("Across flats in mm, or 1/2 in, T25, E10, allen 6, PH2, slot.")
    tool: Text | None = _key("A tool under `tools`; it goes before what the head tells.")
    count: Count | None = _key("How many fasteners; 1.")
    from_: Text | None = _key("The position it is undone from; its part's.", "from")
    time: Time | None = _key("Undoing all of it.")
    each: Time | None = _key("Undoing one of `count`.")
    thread: Text | None = _key("Thread: M8, M10x1.25, 3/8-16 UNC.")
    class_: Text | None = _key("Property class: 8.8, 10.9, grade 5.", "class")
    torque: Annotated[
        TorqueEntry | None, _short(short.torque, TorqueEntry | TorqueStage | list[TorqueStage] | None)
    ] = _key("One torque with its unit, or how it is tightened in full.")
    stages: Stages | None = _key(_STAGES)
    order: Texts | None = _key(_ORDER)
    pattern: Pattern | None = _key(_PATTERN)
    source: Text | None = _key(_SOURCE)
    override: Text | None = _key(_OVERRIDE)
    friction: Text | None = _key("State of the threads: dry, oiled, moly, plated; unknown if left out.")
    engaged_in: Text | None = _key("What the thread is cut in: steel, cast iron, aluminium.")
    engagement: Length | None = _key("How much of the thread is engaged: 12 mm.")
    tolerance: Share | None = _key("How far a torque reading may be off: 5 %, if left out.")
    at: Spots | None = _key(
        "Where each fastener is, in mm: [[0, 0], [80, 0]] looking at their heads, or [x, y, z] in the frame."
    )
    axis: Way | None = _key("The way from the fastener to the tool, and the way it comes out: +z, -y.")
    reach: Millimetres | None = _key("The clear length that the tool needs along the axis, in mm.")
    swing: Millimetres | None = _key(
        "The radius that the tool's handle needs, at the end of its reach, in mm."
    )
    draw: Millimetres | None = _key("How far the fastener must come out along the axis, in mm.")
    box: Annotated[list[BoxEntry] | None, _short(short.boxes, _BOXES)] = _key(
        "The room that it takes as long as it is done up: a plug, a hose end. One box or several."
    )
    sealant: Annotated[SealantEntry | None, _short(short.sealant, SealantEntry | Text | None)] = _key(
        _SEALANT
    )
    behind: Needs | None = _key(_BEHIND)
    wet: Names | None = _key(_WET)
    needs: Names | None = _key(_NEEDS)
    crack: Annotated[CrackEntry | None, _short(short.crack, CrackEntry | Names | None)] = _key(
        "Break it loose while the parts in `while` hold it."
    )
    fit: FitEntry | None = _key("How it goes together, where that differs: {tool: drift, time: 5 min}.")
    found: Day | None = _key(_FOUND)
    caution: _Caution = _key(_CAUTION)
    note: _Note = _key(_NOTE)


_RENEW = RenewEntry | Text | list[RenewEntry | Text] | None


class PlugEntry(Entry):
    """What closes a drain on the way back."""

    called = "a plug"
    tool: Text | None = _key("A tool under `tools`, or a head; what drains it, if left out.")
    torque: Annotated[
        TorqueEntry | None, _short(short.torque, TorqueEntry | TorqueStage | list[TorqueStage] | None)
    ] = _key("One torque with its unit, or how it is tightened in full.")
    renew: Annotated[list[RenewEntry] | None, _short(short.renewals, _RENEW)] = _key("Its new ring.")
    thread: Text | None = _key("Thread: M14x1.5, G 1/4.")


class DrainEntry(FluidWorkEntry):
    """How a fluid is drained."""

    called = "a drain"
    open_keys = frozenset({"plug"})
    plug: PlugEntry | None = _key("What closes it on the way back: {torque: 25 N.m, thread: M14x1.5}.")


class FluidEntry(Entry):
    """A fluid that is drained before what it wets is opened."""

    called = "a fluid"
    open_keys = frozenset({"drain", "fill"})
    label: Text | None = _key(_LABEL)
    volume: Litres | None = _key("How much comes out: 1.2 L, 500 ml.")
    drain: DrainEntry | None = _key("How it is drained.")
    fill: Annotated[FluidWorkEntry | None, _short(_filling, FluidWorkEntry | Literal["none"] | None)] = _key(
        "How it is filled on the way back; `none` for waste."
    )
    caution: _Caution = _key(_CAUTION)
    note: _Note = _key(_NOTE)


_FREEDOM = FreedomEntry | Names | Literal[True] | None


class PartEntry(Entry):
    """A thing that comes off."""

    called = "a part"
    open_keys = frozenset({"loose", "aside", "joints"})
    label: Text | None = _key(_LABEL)
    subsystem: Text | None = _key("What it belongs to: cooling, fuel, timing.")
    from_: Text | None = _key("The position it is worked on from; the first one.", "from")
    time: Time | None = _key("Taking it away once nothing holds it; 10 s.")
    weight: Kilograms | None = _key("What it weighs: 14 kg, 800 g, 30 lb.")
    behind: Needs | None = _key(_BEHIND)
    trapped_by: Needs | None = _key(
        "What must be clear before it can come away; its joints can be reached all the same."
    )
    joints: dict[str, JointEntry] | None = _key("What holds it.")
    loose: Annotated[FreedomEntry | None, _short(short.freedom, _FREEDOM)] = _key("It can be loosened.")
    aside: Annotated[FreedomEntry | None, _short(short.freedom, _FREEDOM)] = _key("It can be moved aside.")
    tie: Text | None = _key("Where and how it is held when it is moved aside.")
    rides: RidesEntry | None = _key("It may go off together with another part: {on: head, with: [nuts]}.")
    wet: Names | None = _key(_WET)
    needs: Names | None = _key(_NEEDS)
    people: People | None = _key("How many people it takes to lift it off; 1.")
    renew: Annotated[list[RenewEntry] | None, _short(short.renewals, _RENEW)] = _key(
        "What is not used twice."
    )
    sealant: Annotated[SealantEntry | None, _short(short.sealant, SealantEntry | Text | None)] = _key(
        _SEALANT
    )
    box: Annotated[list[BoxEntry] | None, _short(short.boxes, _BOXES)] = _key(
        "The room that it takes, roughly: {at: [x, y, z], size: [a, b, c]} in mm. One box or several."
    )
    out: Ways | None = _key("The ways that it can leave: [+z, -y].")
    mesh: Text | None = _key(
        "A file with its shape in mm of the frame, in place of boxes: files/bracket.stl."
    )
    seen: Texts | None = _key("Where somebody has looked at it from: [front, above].")
    found: Day | None = _key(_FOUND)
    caution: _Caution = _key(_CAUTION)
    note: _Note = _key(_NOTE)


class MachineEntry(Entry):
    """A machine file: what a machine is made of, what holds each part, and what is in the way of what."""

    called = "a machine file"
    may_be_empty = False
    open_keys = frozenset({"parts"})
    machine: Text = Field(description="The machine's name.")
    about: Text | None = _key("Free text.")
    start: Text | None = _key("The position where the job starts; left out, any.")
    pace: PaceEntry | None = _key("How long you take for a change of tool or place.")
    positions: dict[str, PositionEntry] | None = _key(
        "Where you stand or lie; the first is the default for parts."
    )
    walks: Walks | None = _key("Walking times both ways: [[bench, under, 15 s]].")
    tools: dict[str, ToolEntry] | None = _key("Only those that a joint's head can't tell.")
    fluids: dict[str, FluidEntry] | None = _key("Fluids that are drained and filled.")
    tasks: dict[str, TaskEntry] | None = _key("Work that takes nothing off.")
    first: Names | None = _key("Tasks that come before everything else.")
    parts: dict[str, PartEntry] = Field(description="The parts that come off.")


def entry_at(path: tuple[str | int, ...]) -> type[Entry]:
    """The entry that the value at ``path`` is, or is a key of."""
    found: type[Entry] = MachineEntry
    annotation: object = MachineEntry
    for step in path:
        annotation = narrow(annotation.keys().get(str(step))) if is_entry(annotation) else inner(annotation)
        if is_entry(annotation):
            found = annotation
    return found
