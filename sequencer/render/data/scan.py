"""A scan as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sequencer.document.scan_words import as_written, waits_words
from sequencer.graph.geometry import Scan, Seen

if TYPE_CHECKING:
    from sequencer.plan.scan import Surprise


def scan_json(scan: Scan, cost: Surprise | None = None) -> dict[str, Any]:
    """A scan as plain data. Every relation that was seen is there, with what became of it."""
    return {
        "machine": scan.machine.name,
        "file": scan.machine.file,
        "parts": len(scan.machine.parts),
        "hidden": [_seen_json(scan, one) for one in scan.hidden],
        "doubts": [
            {
                "holder": one.holder,
                "key": one.key,
                "need": as_written(one.need),
                "line": one.need.place.line,
                "free": list(one.free),
                "would_do": None if one.less is None else str(one.less),
            }
            for one in scan.doubts
        ],
        "agrees": [
            {
                **_seen_json(scan, one.seen),
                "how": "follows" if one.written is None else "written",
                "line": None if one.written is None else one.written.line,
            }
            for one in scan.agreed
        ],
        "job": None
        if cost is None
        else {
            "seconds_as_written": float(cost.written),
            "seconds_as_seen": float(cost.seen),
            "added": list(cost.added),
            "proven": cost.proven,
        },
        "unjudged": len(scan.unjudged),
        "inside_each_other": [list(pair) for pair in scan.inside],
        "without_place": list(scan.bare),
        "shapes": {"tolerance_mm": scan.room.tolerance_mm, "boxes": dict(scan.room.meshes)},
    }


def _seen_json(scan: Scan, seen: Seen) -> dict[str, Any]:
    return {
        "holder": seen.holder,
        "key": seen.key,
        "need": as_written(seen),
        "any_of": [str(atom) for atom in seen.any_of],
        "move": seen.move,
        "hits": [
            {
                "what": hit.what,
                "way": hit.way,
                "obstacle": hit.obstacle,
                "clears": [str(a) for a in hit.clears],
            }
            for hit in seen.hits
        ],
        "words": waits_words(seen, scan.machine),
    }
