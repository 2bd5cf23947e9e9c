"""A scan: what the shapes show, against what the file says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any, Literal

from sequencer.document.plans.scan_words import need_written, waits_words
from sequencer.graph.geometry import Scan, Seen
from sequencer.render.data.plain import FLAT, Record

if TYPE_CHECKING:
    from sequencer.plan.scan import SeenCost


class HitData(Record):
    """One thing in the way of one move."""

    what: Annotated[str, "`out`, `loose`, `aside` (a part moves), `reach`, `swing`, `draw` (at a joint)."]
    way: Annotated[str, "The way along the axes; empty for `loose` and `aside`."]
    obstacle: Annotated[str, "`part` or `part/joint`"]
    clears: Annotated[Sequence[str], "What would take it out of this way; one of them is enough."]
    rider: Annotated[str, "The part that rides along and runs into it; else empty."]


class SeenData(Record):
    """A relation that the shapes show."""

    holder: Annotated[str, "What waits: `part` or `part/joint`."]
    key: Annotated[str, "The key of the holder under which a file would write it."]
    need: Annotated[str, "The relation as a file has it."]
    any_of: Sequence[str]
    move: str
    hits: Sequence[HitData]
    words: str


class AgreedData(Record):
    """A relation that the shapes show and that holds."""

    seen: Annotated[SeenData, FLAT]
    how: Annotated[Literal["written", "follows"], "`follows`: from others that are written."]
    line: int | None
    in_file: Annotated[str | None, "The file that the line is in: the machine file, or one that it includes."]


class UnseenRelationData(Record):
    """A relation that is written and not seen."""

    holder: str
    key: str
    need: str
    line: int
    in_file: Annotated[str, "The file that the line is in: the machine file, or one that it includes."]
    free: Annotated[Sequence[str], "The ways out that nothing bars."]
    would_do: Annotated[str | None, "A state that would do, less than what is asked for."]


class ScanJobData(Record):
    """What the hidden relations would cost in a job."""

    seconds_as_written: Fraction
    seconds_as_seen: Fraction
    added: Sequence[str]
    proven: bool


class ShapesData(Record):
    """What was read from files."""

    tolerance_mm: Annotated[float, "Overlaps across a way up to that slide."]
    triangles: Mapping[str, int]


class ScanData(Record):
    """A scan. Every relation that was seen is there, with what became of it."""

    machine: str
    file: str
    parts: int
    hidden: Annotated[Sequence[SeenData], "Seen and not written."]
    doubts: Annotated[Sequence[UnseenRelationData], "Written and not seen."]
    agrees: Sequence[AgreedData]
    job: ScanJobData | None
    unjudged: Annotated[int, "Needs of which one end has no geometry."]
    inside_each_other: Sequence[Sequence[str]]
    shut_by_itself: Annotated[Sequence[str], "Joints whose tool their own part bars."]
    in_two_legs: Annotated[Mapping[str, str], "Parts that come out so, or tilted, and no straight way."]
    free_arcs: Annotated[
        Mapping[str, Sequence[float | str]],
        "Joints whose handle has no full circle: how many degrees it has, and about which way.",
    ]
    without_place: Sequence[str]
    shapes: ShapesData


def scan_json(scan: Scan, cost: SeenCost | None = None) -> dict[str, Any]:
    """A scan as plain data; ``cost`` is what the hidden relations would cost in a job."""
    agrees = [
        AgreedData(
            seen=_seen(scan, one.seen),
            how="follows" if one.written is None else "written",
            line=None if one.written is None else one.written.line,
            in_file=None if one.written is None else one.written.file,
        )
        for one in scan.agreed
    ]
    doubts = [
        UnseenRelationData.of(
            one,
            need=need_written(one.need),
            line=one.need.place.line,
            in_file=one.need.place.file,
            would_do=None if one.less is None else str(one.less),
        )
        for one in scan.doubts
    ]
    return ScanData(
        machine=scan.machine.name,
        file=scan.machine.file,
        parts=len(scan.machine.parts),
        hidden=[_seen(scan, one) for one in scan.hidden],
        doubts=doubts,
        agrees=agrees,
        job=None
        if cost is None
        else ScanJobData.of(cost, seconds_as_written=cost.written, seconds_as_seen=cost.seen),
        unjudged=len(scan.unjudged),
        inside_each_other=scan.inside,
        shut_by_itself=scan.shut,
        in_two_legs=scan.legs,
        free_arcs=scan.arcs,
        without_place=scan.bare,
        shapes=ShapesData(
            tolerance_mm=scan.room.tolerance_mm,
            triangles={part: len(shape.triangles) for part, shape in scan.room.shapes.items()},
        ),
    ).plain()


def _seen(scan: Scan, seen: Seen) -> SeenData:
    return SeenData.of(
        seen,
        need=need_written(seen),
        any_of=[str(atom) for atom in seen.any_of],
        hits=[HitData.of(hit, clears=[str(atom) for atom in hit.clears]) for hit in seen.hits],
        words=waits_words(seen, scan.machine),
    )
