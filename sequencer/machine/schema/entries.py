"""The shape of a machine file, as pydantic models: every key, what it takes, and a line that explains it.

Nothing here looks at what names mean; that is for the checks. Values keep the defaults of the page apart:
what is left out is ``None`` here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from sequencer.machine.schema.entry import Entry, inner, is_entry, narrow
from sequencer.machine.schema.fields import (
    Count,
    Flag,
    Kilograms,
    Litres,
    Names,
    OneWay,
    Paths,
    Repeated,
    Rust,
    Seconds,
    Text,
    Texts,
    Time,
    Walks,
    Years,
)
from sequencer.machine.schema.frame_fields import Day, People, Stops, Ways
from sequencer.machine.schema.include_entry import IncludeEntry
from sequencer.machine.schema.job_entry import JobEntry
from sequencer.machine.schema.joint_entry import (
    BOXES,
    RENEW,
    BoxEntry,
    JointEntry,
    PlugEntry,
    RenewEntry,
    SealantEntry,
    TiltEntry,
)
from sequencer.machine.schema.key_words import (
    AGAIN_AFTER,
    CAUTION,
    FOUND,
    FROM,
    LABEL,
    NOTE,
    PEOPLE,
    SEALANT,
    TIME,
    TOOL,
    UNSURE,
    VARIES,
    Caution,
    Note,
    brief,
    key,
    with_links,
    with_relations,
)
from sequencer.machine.schema.taken_entry import TakenApartEntry
from sequencer.machine.schema.type_entry import FromTypeEntry, PartVariesEntry
from sequencer.machine.trade import short
from sequencer.machine.trade.relations import FLUID, PART, TASK


class PaceEntry(Entry):
    """How long you take for a change of tool or place."""

    called = "the pace"
    pick_up: Seconds | None = key("Taking a tool in hand; 8 s.")
    put_down: Seconds | None = key("Putting a tool down; 4 s.")
    swap: Seconds | None = key("Another bit on the same drive; 7 s.")
    walk: Seconds | None = key("Between two positions that have no time of their own; 20 s.")
    set_up: Seconds | None = key("Getting changed and setting out, at the beginning of a sitting; 5 min.")
    clear_up: Seconds | None = key("Clearing up and washing, at its end; 5 min.")


class PositionEntry(Entry):
    """Where you stand or lie to work."""

    called = "a position"
    label: Text | None = key(LABEL)
    enter: Seconds | None = key("Getting there, besides the walk: lying down, climbing in.")
    leave: Seconds | None = key("Getting out again.")
    room: People | None = key("How many people can work there at once; 1.")
    needs: Names | None = key("Tasks that are done before anybody works there.")
    below: Flag | None = key("Under the load: nobody works there while a task carries something.")
    drained: Names | None = key("Fluids that are drained before anybody works there.")
    caution: Caution = key(CAUTION)
    note: Note = key(NOTE)


class ToolEntry(Entry):
    """A tool that a joint's head can't tell."""

    called = "a tool"
    label: Text | None = key(LABEL)
    drive: Text | None = key(
        "What it sits on: tools on one drive are swapped, not put down. `none` for a tool alone."
    )
    count: Count | None = key("How many of it there are; 1.")
    caution: Caution = key(CAUTION)
    note: Note = key(NOTE)


@with_relations(FLUID, after="time")
class FluidWorkEntry(Entry):
    """Draining or filling."""

    called = "a drain or a fill"
    from_: Text | None = key(FROM, "from")
    tool: Text | None = key(TOOL)
    time: Time | None = key(TIME)


class WasteEntry(FluidWorkEntry):
    """``none``: it is not filled again."""


def _filling(raw: object) -> object:
    return WasteEntry() if isinstance(raw, str) and raw.strip().casefold() == "none" else raw


class UndoEntry(Entry):
    """What the reassembly does in return for a task."""

    called = "an undo"
    label: Text | None = key(LABEL)
    from_: Text | None = key(FROM, "from")
    tool: Text | None = key(TOOL)
    time: Time | None = key(TIME)
    people: People | None = key("How many people it takes; as many as the task.")


@with_relations(TASK, after="rated")
@with_links(TASK, after="before")
class TaskEntry(Entry):
    """Work that takes nothing off."""

    called = "a task"
    open_keys = frozenset({"undo"})
    label: Text | None = key(LABEL)
    from_: Text | None = key(FROM, "from")
    tool: Text | None = key(TOOL)
    time: Time | None = key(TIME)
    after: Names | None = key("Tasks that are done before it, whenever it is done.")
    before: Paths | None = key("Parts and joints that wait for it, if they are touched at all.")
    rated: Flag | None = key("It carries by itself and is made for it, as stands are: work below goes on.")
    undo: UndoEntry | None = key("What the reassembly does in return.")
    only: OneWay | None = key("`back`: of the way back alone, as bleeding, a pressure test, a first run.")
    back_before: Names | None = key("Parts (covers, trays) that are fitted after it on the way back.")
    people: People | None = key(PEOPLE)
    caution: Caution = key(CAUTION)
    note: Note = key(NOTE)


class ConditionEntry(Entry):
    """What state it is in: what rust and age do to its fasteners."""

    called = "a condition"
    rust: Rust | None = key("How far rust has gone: none, light, heavy.")
    age: Years | None = key("How old it is: 12 years.")


class FreedomEntry(Entry):
    """A state that the part goes into without coming off."""

    called = "a state"
    joints: Names | None = key("The joints to slacken (loose) or to undo (aside) for it.")
    time: Time | None = key("Moving the part; 0 s.")
    by: Stops | None = key(
        "How far it has moved then, in mm of the frame: [0, 0, 60]; or its stops on the way."
    )


class RidesEntry(Entry):
    """It may go off together with another part."""

    called = "a ride"
    on: Text = Field(description="The part that it goes off with.")
    with_: Names = Field(alias="with", description="Its joints that stay fastened; its others are undone.")


class DrainEntry(FluidWorkEntry):
    """How a fluid is drained."""

    called = "a drain"
    open_keys = frozenset({"plug"})
    plug: PlugEntry | None = key("What closes it on the way back: {torque: 25 N.m, thread: M14x1.5}.")
    again_after: Text | None = key(AGAIN_AFTER)


class FluidEntry(Entry):
    """A fluid that is drained before what it wets is opened."""

    called = "a fluid"
    open_keys = frozenset({"drain", "fill"})
    label: Text | None = key(LABEL)
    volume: Litres | None = key("How much comes out: 1.2 L, 500 ml.")
    drain: DrainEntry | None = key("How it is drained.")
    fill: Annotated[FluidWorkEntry | None, brief(_filling, FluidWorkEntry | Literal["none"] | None)] = key(
        "How it is filled on the way back; `none` for waste."
    )
    with_: Names | None = key("Parts renewed whenever it is drained, a filter: they come off too.", "with")
    caution: Caution = key(CAUTION)
    note: Note = key(NOTE)


def again_after(fluid: FluidEntry) -> str | None:
    """The part after which a fluid is drained once more, said beside the plug or of it."""
    drain = fluid.drain
    return (drain.again_after or (drain.plug.again_after if drain.plug else None)) if drain else None


_FREEDOM = FreedomEntry | Names | Literal[True] | None


@with_relations(PART, after="weight")
@with_links(PART, after="rides")
class PartEntry(Entry):
    """A thing that comes off."""

    called = "a part"
    open_keys = frozenset({"loose", "aside", "joints"})
    label: Text | None = key(LABEL)
    subsystem: Text | None = key("What it belongs to: cooling, fuel, timing.")
    from_: Text | None = key("The position it is worked on from; the first one.", "from")
    time: Time | None = key("Taking it away once nothing holds it; 10 s.")
    weight: Kilograms | None = key("What it weighs: 14 kg, 800 g, 30 lb.")
    joints: dict[str, JointEntry] | None = key("What holds it.")
    loose: Annotated[FreedomEntry | None, brief(short.freedom, _FREEDOM)] = key("It can be loosened.")
    aside: Annotated[FreedomEntry | None, brief(short.freedom, _FREEDOM)] = key("It can be moved aside.")
    tie: Text | None = key("Where and how it is held when it is moved aside.")
    hold: Flag | None = key("Whether somebody has to hold it once nothing else does: true or false.")
    prepare: Texts | None = key("Its bench list: what is checked or cleaned before it is fitted.")
    rides: RidesEntry | None = key("It may go off together with another part: {on: head, with: [nuts]}.")
    people: People | None = key("How many people it takes to lift it off; 1.")
    renew: Annotated[list[RenewEntry] | None, brief(short.renewals, RENEW)] = key("What is not used twice.")
    sealant: Annotated[SealantEntry | None, brief(short.sealant, SealantEntry | Text | None)] = key(SEALANT)
    box: Annotated[list[BoxEntry] | None, brief(short.boxes, BOXES)] = key(
        "The room that it takes, roughly: {at: [x, y, z], size: [a, b, c]} in mm. One box or several."
    )
    out: Ways | None = key("The ways that it can leave: [+z, -y], a direction [0, 1, 1], or any.")
    tilt: TiltEntry | None = key("It may be tilted on its way out: {about: +x, at: [x, y, z], by: 15}.")
    mesh: Text | None = key("A file with its shape, in place of boxes: files/bracket.stl, pump.glb#impeller.")
    mesh_unit: Text | None = key("What the shape was drawn in: mm, cm, m or in.")
    seen: Texts | None = key("Where somebody has looked at it from: [front, above].")
    condition: ConditionEntry | None = key("Its own state, where that is not the machine's: {rust: heavy}.")
    found: Day | None = key(FOUND)
    unsure: Names | None = key(UNSURE)
    varies: PartVariesEntry | None = key(VARIES)
    caution: Caution = key(CAUTION)
    note: Note = key(NOTE)


class MachineEntry(Entry):
    """A machine file: what a machine is made of, what holds each part, and what is in the way of what."""

    called = "a machine file"
    may_be_empty = False
    open_keys = frozenset({"parts", "taken_apart"})
    machine: Text = Field(description="The machine's name.")
    about: Text | None = key("Free text.")
    repeat: Repeated | None = key(
        "What is written once for several: {side: [left, right]} makes a mark <side>."
    )
    include: Annotated[
        list[IncludeEntry] | None, brief(short.boxes, IncludeEntry | list[IncludeEntry] | None)
    ] = key("Assemblies of the library, or of files beside it: [{assembly: wheel-end, as: rf}].")
    condition: ConditionEntry | None = key("What state it is in: {rust: light, age: 12 years}.")
    start: Text | None = key("The position where the job starts; left out, any.")
    pace: PaceEntry | None = key("How long you take for a change of tool or place.")
    positions: dict[str, PositionEntry] | None = key(
        "Where you stand or lie; the first is the default for parts."
    )
    walks: Walks | None = key("Walking times both ways: [[bench, under, 15 s]].")
    tools: dict[str, ToolEntry] | None = key("Only those that a joint's head can't tell.")
    fluids: dict[str, FluidEntry] | None = key("Fluids that are drained and filled.")
    tasks: dict[str, TaskEntry] | None = key("Work that takes nothing off.")
    first: Names | None = key("Tasks that come before everything else.")
    parts: dict[str, PartEntry] = Field(description="The parts that come off.")
    jobs: dict[str, JobEntry] | None = key("Common jobs on it: what comes off, what for.")
    taken_apart: TakenApartEntry | None = key("How it came apart on a job; written by the job.")
    from_type: FromTypeEntry | None = key("The type that this file was made from; written by the survey.")


def _shapes(path: tuple[str | int, ...]) -> Iterator[object]:
    annotation: object = MachineEntry
    yield annotation
    for step in path:
        annotation = narrow(annotation.keys().get(str(step))) if is_entry(annotation) else inner(annotation)
        yield annotation


def shape_at(path: tuple[str | int, ...]) -> object:
    """What the value at ``path`` is by its annotation: an entry, a list, a mapping; ``None`` for no key."""
    return [*_shapes(path)][-1]


def entry_at(path: tuple[str | int, ...]) -> type[Entry]:
    """The entry that the value at ``path`` is, or is a key of."""
    return [one for one in _shapes(path) if is_entry(one)][-1]
