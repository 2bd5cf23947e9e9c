"""The report of a scan: a head that fits a screen, then what was found, worst first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sequencer.graph.geometry import Scan, Seen
from sequencer.graph.geometry.added import to_write
from sequencer.views.lines import clean, hanging
from sequencer.views.scan_words import as_written, doubt_words, hit_words, path_words, waits_words
from sequencer.views.words import duration, listing, plural

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.plan.scan import Surprise

MOST = 8
"""Entries of each kind that are shown unless all are asked for."""


def print_scan(scan: Scan, out: Console, cost: Surprise | None = None, *, whole: bool = False) -> None:
    """Print the report, and what the findings ``cost`` a job; ``whole`` shows every entry."""
    machine = scan.machine
    placed = sum(part in scan.room.bodies for part in machine.parts)
    hanging(out, machine.name, style="bold")
    seen = len(scan.hidden) + len(scan.agreed)
    hanging(
        out,
        f"{placed} of {plural(len(machine.parts), 'part')} placed; {plural(seen, 'relation')} seen: "
        f"{len(scan.hidden)} not written, {len(scan.agreed)} agree; "
        f"{len(scan.doubts)} written and not seen, {len(scan.unjudged)} can't be judged",
    )
    if cost is not None:
        hanging(out, _cost_words(cost))
    for part, boxes in scan.room.meshes.items():
        hanging(
            out, f"{path_words(machine, part)}: a shape, to {scan.room.tolerance_mm:g} mm, in {boxes} boxes"
        )
    if scan.bare:
        names = listing([path_words(machine, part) for part in scan.bare], None if whole else MOST)
        hanging(out, f"Without a place, so nothing is seen of them: {names}")
    if not placed:
        hanging(out, "Give parts a box: {at: [x, y, z], size: [a, b, c]}, in millimetres, and out: +z")
    _hidden(scan, out, whole=whole)
    _doubts(scan, out, whole=whole)
    if scan.inside:
        out.print("\nInside each other as fitted; make their boxes closer:")
        pairs = [" and ".join(path_words(machine, part) for part in pair) for pair in scan.inside]
        _list(out, pairs, whole=whole)
    if whole:
        _following(scan, out)


def _cost_words(cost: Surprise) -> str:
    """What hidden blockers cost a job, in words."""
    about = "" if cost.proven else "about "
    if cost.seen == cost.written:
        return f"With what is not written the job takes no longer: {about}{duration(cost.seen)}"
    more = f"{about}{duration(cost.seen)} instead of {duration(cost.written)}"
    return f"With what is not written the job takes {more}, {plural(len(cost.added), 'operation')} more"


def _hidden(scan: Scan, out: Console, *, whole: bool) -> None:
    if not scan.hidden:
        return
    first = [one for some in to_write(scan) for one in some]
    shown = [one for one in scan.hidden if whole or one in first]
    out.print("\nSeen and not written:")
    for number, seen in enumerate(shown if whole else shown[:MOST], start=1):
        hanging(out, f"{waits_words(seen, scan.machine)}  ({_place(scan, seen)})", lead=f"  {number:>2}  ")
        hits = list(dict.fromkeys(hit_words(scan.machine, hit) for hit in seen.hits))
        hanging(out, f"{'; '.join(hits)}", lead="      ")
        hanging(out, f"{seen.holder}: {seen.key}: [{as_written(seen)}]", lead="      ")
    _more(out, len(shown), whole=whole)
    if len(scan.hidden) > len(shown):
        out.print(f"      {len(scan.hidden) - len(shown)} more would follow from these: --all shows them")


def _place(scan: Scan, seen: Seen) -> str:
    part = scan.machine.parts[seen.part]
    return str(part.joints[seen.joint].place if seen.joint is not None else part.place)


def _doubts(scan: Scan, out: Console, *, whole: bool) -> None:
    if not scan.doubts:
        return
    out.print("\nWritten and not seen (the boxes are rough: look again, nothing is taken out):")
    lines = [f"{doubt_words(scan.machine, doubt)}  ({doubt.need.place})" for doubt in scan.doubts]
    _list(out, lines, whole=whole)


def _following(scan: Scan, out: Console) -> None:
    found = [one.seen for one in scan.agreed if one.written is None]
    if found:
        out.print("\nSeen, not written here, and it follows from other lines:")
        _list(out, [waits_words(seen, scan.machine) for seen in found], whole=True)


def _list(out: Console, lines: list[str], *, whole: bool) -> None:
    for line in lines if whole else lines[:MOST]:
        hanging(out, line, lead="      ")
    _more(out, len(lines), whole=whole)


def _more(out: Console, count: int, *, whole: bool) -> None:
    if count > MOST and not whole:
        out.print(f"      and {count - MOST} more: --all shows them")


def comment_words(scan: Scan, seen: Seen) -> str:
    """The comment beside a relation that was written into a file."""
    hits = dict.fromkeys(hit_words(scan.machine, hit) for hit in seen.hits)
    return clean(f"seen in the boxes: {next(iter(hits))}")


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
